"""Before something that decides who gets in, people say once more that it is them.

A log-in counts for a quarter of an hour; then the page asks for the password, or the passkey.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from functools import wraps
from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponseBase
from django.shortcuts import redirect
from django.urls import reverse

from core import clock

LASTS_S = 15 * 60
_AT = "confirmed_at"


def confirm(request: HttpRequest) -> None:
    """Note that it is them. The session goes on under a new key, as after a log-in."""
    request.session.cycle_key()
    request.session[_AT] = time.time()


def is_confirmed(request: Any) -> bool:
    row = getattr(request.session, "row", None)
    began = row.began_at.timestamp() if row else clock.now().timestamp()
    last: float = max(began, request.session.get(_AT, 0.0))
    return time.time() - last < LASTS_S


def confirmed(
    view: Callable[..., HttpResponseBase],
) -> Callable[..., HttpResponseBase]:
    """For a page of somebody logged in; stands below `signed_in`."""

    @wraps(view)
    def asked(request: HttpRequest, *args: Any, **more: Any) -> HttpResponseBase:
        if is_confirmed(request):
            return view(request, *args, **more)
        # Back to the page with the buttons: what was pressed is pressed again there.
        back = request.path if request.method in ("GET", "HEAD") else reverse("core:getting_in")
        return redirect(address(back))

    return asked


def address(back: str) -> str:
    """Where people say once more that it is them, and go `back` from."""
    return f"{reverse('core:confirm')}?{urlencode({'next': back}, safe='/')}"
