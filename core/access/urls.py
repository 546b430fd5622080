"""Addresses inside the production of a request."""

from __future__ import annotations

from typing import Any

from django.urls import reverse

from core.access.views import ProductionRequest


def within(request: ProductionRequest, name: str, *more: Any) -> str:
    """`within(request, "core:leg", leg.pk)`: that page of the production one is in."""
    return reverse(name, args=[request.production.pk, *more])
