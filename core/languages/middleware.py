"""Let every request be answered in the language of whoever sends it."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.utils import translation

from core.languages.choice import language_of, say_language


class LanguageMiddleware:
    """Stands after the person is known. A view may choose another language (`read_in`)."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        # Left as it is afterwards: what is streamed is written when this has returned.
        translation.activate(language_of(request))
        return say_language(self.get_response(request))
