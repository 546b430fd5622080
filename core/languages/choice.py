"""Which language a request is answered in."""

from __future__ import annotations

from contextlib import AbstractContextManager
from typing import Any, TypeVar

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.utils import translation
from django.utils.cache import patch_vary_headers

from core.device_choices import chosen

R = TypeVar("R", bound=HttpResponse)
# Each by its own name, so that whoever cannot read the page finds theirs.
NAMES: dict[str, str] = dict(settings.LANGUAGES)


def language_of(request: HttpRequest) -> str:
    """What the person chose, on whatever device; else what was chosen on this one; else what the
    browser asks for."""
    return chosen_by(request) or translation.get_language_from_request(request)


def chosen_by(request: HttpRequest) -> str:
    """What the person chose, or somebody on this device; empty where nobody has."""
    return chosen(request, "language", settings.LANGUAGE_COOKIE_NAME, NAMES)


def language_for(person: Any, otherwise: str = settings.LANGUAGE_CODE) -> str:
    """For what is sent to somebody: the language they chose, else that of the service, or
    `otherwise`."""
    language = getattr(person, "language", "")
    return language if language in NAMES else otherwise


def tag_of(language: str | None) -> str:
    """“en-GB” (RFC 5646, 2.1.1)."""
    first, *rest = (language or settings.LANGUAGE_CODE).split("-")
    return "-".join([first, *(part.upper() for part in rest)])


def read_in(language: str) -> None:
    """Let the rest of this request be answered in `language`, where it is known."""
    if language in NAMES:
        translation.activate(language)


def read_unless_chosen(request: HttpRequest, language: str) -> None:
    """The same with what a link proposes: who holds it may have chosen another one."""
    if not chosen_by(request):
        read_in(language)


def read_link_in(request: HttpRequest, language: str) -> None:
    """What a link asks for, unless something else was chosen on this device."""
    if request.COOKIES.get(settings.LANGUAGE_COOKIE_NAME, "") not in NAMES:
        read_in(language)


def as_stored() -> AbstractContextManager[None]:
    """For words that are written into a history: they do not depend on who writes them."""
    return translation.override(settings.LANGUAGE_CODE)


def say_language(response: R) -> R:
    """Name the language of what is answered, for programs that read and keep it (RFC 9110, 8.5)."""
    if response.headers.get("Content-Type", "").startswith(("text/html", "application/json")):
        response.headers.setdefault("Content-Language", translation.get_language() or "")
        patch_vary_headers(response, ("Accept-Language", "Cookie"))
    return response
