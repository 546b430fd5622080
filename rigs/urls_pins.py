"""Addresses of pins on photos, and of two photos side by side. Included by rigs.urls."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver

urlpatterns: list[URLPattern | URLResolver] = []
