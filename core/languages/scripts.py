"""The catalogue of what scripts say, for pages, what they keep and the worker.

Django makes it. Its address names the language and a digest of what it says, as the addresses of
other static files do, so that it is kept and never asked for again.
"""

from __future__ import annotations

import hashlib
from functools import cache
from typing import Any, NamedTuple

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import translation
from django.views.decorators.http import require_safe
from django.views.i18n import JavaScriptCatalog

from core.access.views import public

PACKAGES = ["core", "rigs", "notes"]
DIGITS = 12  # of the digest, as in other addresses of static files
# Below the static files, and as these are served.
ROUTE = f"{settings.STATIC_URL.lstrip('/')}words/<str:language>.<str:digest>.js"
A_YEAR = 60 * 60 * 24 * 365


class Catalogue(NamedTuple):
    """A script that scripts find their words by, a digest of it, and whether it says anything."""

    script: bytes
    digest: str
    is_empty: bool


class _Made(JavaScriptCatalog):
    packages = PACKAGES

    def render_to_response(self, context: dict[str, Any], **more: Any) -> HttpResponse:
        self.is_empty = not context["catalog"]
        return super().render_to_response(context, **more)


@cache
def catalogue(language: str) -> Catalogue:
    """Empty where nothing is translated: then scripts speak English."""
    made = _Made()
    with translation.override(language):
        script = made.get(HttpRequest()).content
    return Catalogue(script, hashlib.sha256(script).hexdigest()[:DIGITS], made.is_empty)


def address() -> str:
    """Of the catalogue in the language that is read; nothing where that says nothing."""
    language = translation.get_language() or settings.LANGUAGE_CODE
    found = catalogue(language)
    return "" if found.is_empty else reverse("core:words", args=[language, found.digest])


@public  # the same for everybody
@require_safe
def words(request: HttpRequest, language: str, digest: str) -> HttpResponse:
    if language not in dict(settings.LANGUAGES):
        raise Http404("There is no such catalogue.")
    found = catalogue(language)
    response = HttpResponse(found.script, content_type="text/javascript; charset=utf-8")
    # A page of another release than this one is better off with these words than with none.
    lasts = f"max-age={A_YEAR}, public, immutable" if digest == found.digest else "no-cache"
    response.headers["Cache-Control"] = lasts
    return response
