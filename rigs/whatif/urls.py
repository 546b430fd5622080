"""Addresses of a leg's air, a day for the ears, and what would be if; included by rigs.urls."""

from __future__ import annotations

from django.urls import path

from rigs.whatif import views as air
from rigs.whatif import views as exposure
from rigs.whatif import views as what_if

_RIG = "p/<uuid:production>/rigs/<uuid:rig_id>"

urlpatterns = [
    path("p/<uuid:production>/legs/<uuid:leg_id>/air/", air.leg_air, name="leg_air"),
    path("p/<uuid:production>/exposure/", exposure.exposure, name="exposure"),
    path(f"{_RIG}/what-if/", what_if.what_if, name="what_if"),
    path(f"{_RIG}/what-if/change/", what_if.change, name="what_if_change"),
]
