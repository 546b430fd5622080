"""Each answer says who is signed in, so that a device clears what it keeps once somebody is not.

A session may be ended from elsewhere. So the worker compares the header of every answer, whatever
address the device asks for next (core/static/core/worker/serve.js).
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.http import HttpResponseBase

HEADER = "Signed-In"
NOBODY = "nobody"


class WhoMiddleware:
    """Adds the header, but not to an answer that never read the session: that is for everybody."""

    def __init__(self, get_response: Callable[[Any], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: Any) -> HttpResponseBase:
        response = self.get_response(request)
        # Asked of the session, not of the user: looking at request.user would read the session, and
        # make every page private to caches.
        if request.session.accessed:
            user = request.user
            response.headers[HEADER] = str(user.pk) if user.is_authenticated else NOBODY
            # What is of one person no cache on the way may keep (RFC 9111, 5.2.2.7).
            response.headers.setdefault("Cache-Control", "private")
        return response
