"""Addresses of clips. Included by notes.urls."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, include, path

from notes.views import clip_sound

clip_urls: list[URLPattern | URLResolver] = [
    path("<uuid:clip>/sound/<str:copy>/", clip_sound.sound, name="clip_sound"),
]

urlpatterns: list[URLPattern | URLResolver] = [
    path("p/<uuid:production>/clips/", include(clip_urls)),
]
