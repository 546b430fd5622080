"""Who sends a request: read with the session, in one query in place of two."""

from __future__ import annotations

from typing import Any

from django.contrib.auth import SESSION_KEY, get_user
from django.contrib.auth.middleware import AuthenticationMiddleware
from django.http import HttpRequest
from django.utils.functional import SimpleLazyObject

from core.access.accounts import already_read


def person_of(request: Any) -> Any:
    """As `django.contrib.auth.get_user`, with all that it checks."""
    request.session.get(SESSION_KEY)  # reads the row
    row = getattr(request.session, "row", None)
    with already_read(row.user if row else None):
        return get_user(request)


class PersonMiddleware(AuthenticationMiddleware):
    def process_request(self, request: HttpRequest) -> None:
        super().process_request(request)  # refuses to stand before sessions
        # Read once, when somebody asks: many answers are for everybody.
        request.user = SimpleLazyObject(lambda: person_of(request))  # type: ignore[assignment]
