"""Addresses of the API in rigs."""

from __future__ import annotations

from django.urls import path

from rigs.api import views
from rigs.inputs import api as inputs
from rigs.shows import api as shows
from rigs.upkeep import api as upkeep

urlpatterns = [
    path("productions/<uuid:production>/devices/", inputs.Devices.as_view(), name="api-devices"),
    path("productions/<uuid:production>/upkeep/", upkeep.Upkeep.as_view(), name="api-upkeep"),
    path("productions/<uuid:production>/rigs/", views.Rigs.as_view(), name="api-rigs"),
    path("rigs/<uuid:rig>/", views.OneRig.as_view(), name="api-rig"),
    path("rigs/<uuid:rig>/findings/", views.RigFindings.as_view(), name="api-rig-findings"),
    path("rigs/<uuid:rig>/changes/", views.RigChanges.as_view(), name="api-rig-changes"),
    path("shows/<uuid:show>/inputs/", shows.ShowInputs.as_view(), name="api-show-inputs"),
    path("shows/<uuid:show>/findings/", shows.ShowFindings.as_view(), name="api-show-findings"),
]
