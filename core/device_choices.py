"""What somebody chose of how pages come: kept with the person, and on the device, where it holds
for pages without a log-in."""

from __future__ import annotations

from collections.abc import Container

from django.conf import settings
from django.http import HttpRequest, HttpResponse

COOKIE_SECONDS = 60 * 60 * 24 * 365


def chosen(request: HttpRequest, field: str, cookie: str, known: Container[str]) -> str:
    """What the person chose, on whatever device; else what was chosen on this one; empty where
    nobody has."""
    # The page for a fault, and tests of single views, have no user.
    person = getattr(getattr(request, "user", None), field, "")
    # A cookie can hold anything, and this value is written into the page.
    asked = (person, request.COOKIES.get(cookie, ""))
    return next((each for each in asked if each in known), "")


def keep_on_device(response: HttpResponse, cookie: str, choice: str) -> None:
    response.set_cookie(
        cookie,
        choice,
        max_age=COOKIE_SECONDS,
        httponly=True,
        samesite="Lax",
        secure=settings.CSRF_COOKIE_SECURE,
    )
