"""What did not work now and may work when it is asked for again: a page says so, not an error."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse, HttpResponseBase

AGAIN_S = 10


class NotNow(Exception):
    """`str` of it is a sentence for whoever asked. Raise it where nothing was written."""


class NotNowMiddleware:
    """503 with a page, and when to come back (RFC 9110, 15.6.4 and 10.2.3)."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, exception: Exception) -> HttpResponse | None:
        if not isinstance(exception, NotNow):
            return None
        # Here, because settings list this module before there are models.
        from core.views.errors import not_now

        answer = not_now(request, exception)
        answer.headers["Retry-After"] = str(AGAIN_S)
        return answer
