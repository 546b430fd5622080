"""Context shared by all templates."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest

from core.access.views import guest_of
from core.moments import stamp_of
from core.offline.once import new_key
from core.places import THUMB_BUTTON
from core.themes import theme_of


def theme(request: HttpRequest) -> dict[str, str]:
    return {"theme": theme_of(request)}


def page_made(request: HttpRequest) -> dict[str, str]:
    """When this page was made, signed: what is written on it may arrive later."""
    return {"page_made": stamp_of(request)}


def request_key(request: HttpRequest) -> dict[str, str]:
    """The hidden field that makes a form of this page one request, however often it is sent."""
    return {"request_key": new_key()}


def thumb_button(request: HttpRequest) -> dict[str, Any]:
    """What is pressed most on the pages of a production; nothing on other pages."""
    # Not beside the rest of what a member sees: access/ knows nothing of apps further downstream.
    member = getattr(request, "member", None)
    if member is None or guest_of(request):
        return {}
    return {"thumb_button": THUMB_BUTTON.first(request, member)}
