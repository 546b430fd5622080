"""Addresses of timelines. Included by notes.urls."""

from __future__ import annotations

from django.urls import path

from notes.timeline import views

urlpatterns = [
    path("p/<uuid:production>/timeline/", views.production, name="timeline"),
    path("p/<uuid:production>/rigs/<uuid:rig_id>/timeline/", views.rig, name="rig_timeline"),
]
