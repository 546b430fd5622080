"""Addresses of the air of a leg and of what would be if, included by rigs.urls."""

from __future__ import annotations

from django.urls import path

from rigs.views import air

urlpatterns = [
    path("p/<uuid:production>/legs/<uuid:leg>/air/", air.leg_air, name="leg_air"),
]
