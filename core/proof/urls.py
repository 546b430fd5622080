"""Addresses of the log, below those of a production."""

from __future__ import annotations

from django.urls import path

from core.proof import views

urlpatterns = [
    path("p/<uuid:production>/log/", views.log, name="log"),
    path("p/<uuid:production>/log/checkpoint/", views.checkpoint_file, name="log_checkpoint"),
    path("p/<uuid:production>/log/verify-archive/", views.script, name="log_script"),
]
