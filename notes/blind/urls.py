"""Addresses of blind trials. Included by notes.urls."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, include, path

from notes.blind import views

blind_urls = [
    path("", views.page, name="blind"),
    path("begin/", views.begin, name="blind_begin"),
    path("round/", views.round_, name="blind_round"),
    path("round/<int:number>/<str:label>.wav", views.sound, name="blind_sound"),
    path("close/", views.close, name="blind_close"),
]

urlpatterns: list[URLPattern | URLResolver] = [
    path("p/<uuid:production>/trials/<uuid:trial_id>/blind/new/", views.new, name="blind_new"),
    path("p/<uuid:production>/blind/<uuid:blind_id>/", include(blind_urls)),
]
