"""Context shared by all templates."""

from __future__ import annotations

from django.http import HttpRequest

THEMES = ("dark", "light", "auto")


def theme(request: HttpRequest) -> dict[str, str]:
    chosen = request.COOKIES.get("theme", "dark")
    return {"theme": chosen if chosen in THEMES else "dark"}
