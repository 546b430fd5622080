"""The colours a page comes in: as the device has them, or dark or light as somebody chose."""

from __future__ import annotations

from django.http import HttpRequest

from core.device_choices import chosen

AUTO = "auto"
THEMES = ("dark", "light", AUTO)
COOKIE = "theme"


def theme_of(request: HttpRequest) -> str:
    """What the person chose, on whatever device; else what was chosen on this one; else auto."""
    return chosen(request, "theme", COOKIE, THEMES) or AUTO
