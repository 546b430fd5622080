"""Addresses of what songs change on a rig, and of run sheets. Included by rigs.urls."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from rigs.songs import set_views, views

_RIG = "p/<uuid:production>/rigs/<uuid:rig_id>/songs"
_SHOW = "p/<uuid:production>/shows/<uuid:show_id>"

urlpatterns: list[URLPattern | URLResolver] = [
    path("p/<uuid:production>/run/", views.run, name="run_sheet"),
    path("p/<uuid:production>/run.pdf", views.run_pdf, name="run_sheet_pdf"),
    path("p/<uuid:production>/run/times/", views.times, name="change_times"),
    path(f"{_SHOW}/set-floor.pdf", set_views.floor, name="set_floor_pdf"),
    path(f"{_SHOW}/set-desk.pdf", set_views.desk, name="set_desk_pdf"),
    path(f"{_RIG}/", views.index, name="rig_songs"),
    path(f"{_RIG}/<uuid:song_id>/", views.song, name="rig_song"),
]
