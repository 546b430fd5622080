"""Addresses of two clips of one source. Included by notes.urls."""

from __future__ import annotations

from django.urls import path

from notes.captures import views

urlpatterns = [
    path("p/<uuid:production>/captures/", views.captures, name="captures"),
    path(
        "p/<uuid:production>/captures/<uuid:pair_id>/back/",
        views.take_back,
        name="captures_take_back",
    ),
    path("p/<uuid:production>/rigs/<uuid:rig_id>/captures/new/", views.upload, name="captures_new"),
]
