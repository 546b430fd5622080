"""Addresses of the lists of one show. Included by rigs.urls."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver

urlpatterns: list[URLPattern | URLResolver] = []
