"""Addresses of the API in notes."""

from __future__ import annotations

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
