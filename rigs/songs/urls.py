"""Addresses of what songs change on a rig, and of run sheets. Included by rigs.urls."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from rigs.songs import views

_RIG = "p/<uuid:production>/rigs/<uuid:rig_id>/songs"

urlpatterns: list[URLPattern | URLResolver] = [
    path("p/<uuid:production>/run/", views.run, name="run_sheet"),
    path("p/<uuid:production>/run.pdf", views.run_pdf, name="run_sheet_pdf"),
    path("p/<uuid:production>/run/times/", views.times, name="change_times"),
    path(f"{_RIG}/", views.index, name="rig_songs"),
    path(f"{_RIG}/<uuid:song_id>/", views.song, name="rig_song"),
]
