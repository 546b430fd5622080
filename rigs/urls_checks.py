"""Addresses of findings, included by rigs.urls."""

from __future__ import annotations

from django.urls import URLPattern, path

from rigs.views import findings

_RIG = "p/<uuid:production>/rigs/<uuid:rig>"

urlpatterns: list[URLPattern] = [
    path(f"{_RIG}/findings/", findings.findings, name="findings"),
    path(f"{_RIG}/findings/accept/", findings.accept, name="finding_accept"),
]
