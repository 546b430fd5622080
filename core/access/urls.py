"""Addresses inside the production of a request."""

from __future__ import annotations

from typing import Any

from django.urls import reverse

from core.access.views import ProductionRequest, guest_of


def within(request: ProductionRequest, name: str, *more: Any) -> str:
    """`within(request, "core:leg", leg.pk)`: that page of the production one is in."""
    return reverse(name, args=[request.production.pk, *more])


def printed_address(request: ProductionRequest, path: str) -> str:
    """The whole address of a page of the production, for a code on paper. A guest gets their own,
    which ends with the link; where the link does not open that page, none: the text is empty."""
    guest = guest_of(request)
    found = guest.address(path) if guest else path
    return request.build_absolute_uri(found) if found else ""
