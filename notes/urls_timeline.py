"""Addresses of timelines. Included by notes.urls."""

from __future__ import annotations

from django.urls import path

from notes.views import timeline

urlpatterns = [
    path("p/<uuid:production>/timeline/", timeline.production, name="timeline"),
    path("p/<uuid:production>/rigs/<uuid:rig>/timeline/", timeline.rig, name="rig_timeline"),
]
