"""Addresses of scenes. Included by rigs.urls."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from rigs.scenes import views

_RIG = "p/<uuid:production>/rigs/<uuid:rig_id>"
_SCENE = f"{_RIG}/scenes/<uuid:scene_id>"

urlpatterns: list[URLPattern | URLResolver] = [
    path(f"{_RIG}/units/<uuid:unit_id>/scenes/new/", views.new, name="scene_new"),
    path(f"{_SCENE}/", views.page, name="scene"),
    path(f"{_SCENE}/retire/", views.retire, name="scene_retire"),
]
