"""Addresses of what songs change on a rig, and of run sheets. Included by rigs.urls."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from rigs.views import songs

_RIG = "p/<uuid:production>/rigs/<uuid:rig>/songs"

urlpatterns: list[URLPattern | URLResolver] = [
    path("p/<uuid:production>/run/", songs.run, name="run_sheet"),
    path("p/<uuid:production>/run.pdf", songs.run_pdf, name="run_sheet_pdf"),
    path("p/<uuid:production>/run/times/", songs.times, name="change_times"),
    path(f"{_RIG}/", songs.index, name="rig_songs"),
    path(f"{_RIG}/<uuid:song>/", songs.song, name="rig_song"),
]
