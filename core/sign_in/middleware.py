"""Notes that a log-in is used, and lets a device be known again."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from datetime import timedelta
from typing import Any

from django.db import OperationalError
from django.http import HttpResponseBase

from core import clock
from core.models import LogIn
from core.sign_in.devices import give_cookie

# Not at every request: a page would cost a write.
EVERY = timedelta(minutes=10)


class CameInMiddleware:
    """Stands after sessions."""

    def __init__(self, get_response: Callable[[Any], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: Any) -> HttpResponseBase:
        response = self.get_response(request)
        if token := getattr(request, "device_token", ""):
            give_cookie(response, token)
        row, now = getattr(request.session, "row", None), clock.now()
        if row is not None and row.user_id and row.used_at < now - EVERY:
            # A database that is busy must not cost the page.
            with suppress(OperationalError):
                LogIn.objects.filter(pk=row.pk).update(used_at=now)
        return response
