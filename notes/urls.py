"""Addresses of notes."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver

app_name = "notes"

urlpatterns: list[URLPattern | URLResolver] = []
