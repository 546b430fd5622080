"""Addresses of spares and what is changed at intervals. Included by rigs.urls."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver

urlpatterns: list[URLPattern | URLResolver] = []
