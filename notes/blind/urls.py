"""Addresses of blind trials. Included by notes.urls."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, include, path

from notes.blind import link_views, views

blind_urls = [
    path("ask/", link_views.ask, name="blind_ask"),
    path("", views.page, name="blind"),
    path("begin/", views.begin, name="blind_begin"),
    path("round/", views.round_, name="blind_round"),
    path("round/<int:number>/<str:label>.wav", views.sound, name="blind_sound"),
    path("close/", views.close, name="blind_close"),
]

link_urls = [
    path("", link_views.listen, name="blind_link"),
    path("sound/<int:number>/<str:label>/", link_views.sound, name="blind_link_sound"),
]

urlpatterns: list[URLPattern | URLResolver] = [
    path("p/<uuid:production>/trials/<uuid:trial_id>/blind/new/", views.new, name="blind_new"),
    path("p/<uuid:production>/blind/<uuid:blind_id>/", include(blind_urls)),
    path("listen/<str:token>/", include(link_urls)),
]
