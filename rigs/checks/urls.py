"""Addresses of findings, included by rigs.urls."""

from __future__ import annotations

from django.urls import URLPattern, path

from rigs.checks import views

_RIG = "p/<uuid:production>/rigs/<uuid:rig_id>"

urlpatterns: list[URLPattern] = [
    path(f"{_RIG}/findings/", views.findings, name="findings"),
    path(f"{_RIG}/findings/accept/", views.accept, name="finding_accept"),
    path(f"{_RIG}/findings/take-over/<uuid:input_id>/", views.take_over, name="finding_take_over"),
]
