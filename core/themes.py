"""The colours a page comes in: as the device has them, or dark or light as somebody chose."""

from __future__ import annotations

from typing import Any, TypeVar

from django.conf import settings
from django.http import HttpRequest, HttpResponse

AUTO = "auto"
THEMES = ("dark", "light", AUTO)
COOKIE = "theme"
R = TypeVar("R", bound=HttpResponse)
COOKIE_SECONDS = 60 * 60 * 24 * 365


def theme_of(request: HttpRequest) -> str:
    """What the person chose, on whatever device; else what was chosen on this one; else auto."""
    # The page for a fault, and tests of single views, have no user.
    person = getattr(getattr(request, "user", None), "theme", "")
    # A cookie can hold anything, and this value is written into the page.
    asked = (person, request.COOKIES.get(COOKIE, ""))
    return next((theme for theme in asked if theme in THEMES), AUTO)


def keep_on_device(response: HttpResponse, theme: str, *, secure: bool) -> None:
    """For pages without a log-in, on this device."""
    response.set_cookie(
        COOKIE,
        theme,
        max_age=COOKIE_SECONDS,
        httponly=True,
        samesite="Lax",
        secure=secure,
    )


def bring_to_device(response: R, person: Any) -> R:
    """The choice of somebody who logs in."""
    if person.theme:
        keep_on_device(response, person.theme, secure=settings.CSRF_COOKIE_SECURE)
    return response
