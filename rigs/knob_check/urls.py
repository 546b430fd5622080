"""Addresses of the check of knobs. Included by rigs.urls."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from rigs.knob_check import views

_RIG = "p/<uuid:production>/rigs/<uuid:rig_id>"

urlpatterns: list[URLPattern | URLResolver] = [
    path(f"{_RIG}/photos/<uuid:photo_id>/check/", views.against, name="knob_check"),
    path(f"{_RIG}/controls/<uuid:control_id>/take-over/", views.take_over, name="knob_take_over"),
]
