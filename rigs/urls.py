"""Addresses of rigs."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver

app_name = "rigs"

urlpatterns: list[URLPattern | URLResolver] = []
