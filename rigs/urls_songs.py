"""Addresses of what songs change on a rig, and of run sheets. Included by rigs.urls."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver

urlpatterns: list[URLPattern | URLResolver] = []
