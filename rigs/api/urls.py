"""Addresses of the API in rigs."""

from __future__ import annotations

from django.urls import path

from rigs.api import views
from rigs.shows import api

urlpatterns = [
    path("productions/<uuid:production>/devices/", views.Devices.as_view(), name="api-devices"),
    path("productions/<uuid:production>/upkeep/", views.Upkeep.as_view(), name="api-upkeep"),
    path("productions/<uuid:production>/rigs/", views.Rigs.as_view(), name="api-rigs"),
    path("rigs/<uuid:rig>/", views.OneRig.as_view(), name="api-rig"),
    path("rigs/<uuid:rig>/changes/", views.RigChanges.as_view(), name="api-rig-changes"),
    path("shows/<uuid:show>/inputs/", api.ShowInputs.as_view(), name="api-show-inputs"),
]
