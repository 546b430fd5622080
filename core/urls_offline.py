"""Addresses of the installable app and its queue. Included by core.urls."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver

urlpatterns: list[URLPattern | URLResolver] = []
