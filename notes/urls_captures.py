"""Addresses of two captures of one source. Included by notes.urls."""

from __future__ import annotations

from django.urls import path

from notes.views import captures

urlpatterns = [
    path("p/<uuid:production>/captures/", captures.captures, name="captures"),
    path(
        "p/<uuid:production>/captures/<uuid:pair>/back/",
        captures.take_back,
        name="captures_take_back",
    ),
    path("p/<uuid:production>/rigs/<uuid:rig>/captures/new/", captures.bring, name="captures_new"),
]
