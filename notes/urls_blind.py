"""Addresses of blind trials. Included by notes.urls."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, include, path

from notes.views import blind

blind_urls = [
    path("", blind.page, name="blind"),
    path("begin/", blind.begin, name="blind_begin"),
    path("round/", blind.round_, name="blind_round"),
    path("round/<int:number>/<str:label>.wav", blind.sound, name="blind_sound"),
    path("close/", blind.close, name="blind_close"),
]

urlpatterns: list[URLPattern | URLResolver] = [
    path("p/<uuid:production>/trials/<uuid:trial>/blind/new/", blind.new, name="blind_new"),
    path("p/<uuid:production>/blind/<uuid:blind>/", include(blind_urls)),
]
