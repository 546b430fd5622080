"""Tells a device which draft is done with: the one whose form was carried out.

A device keeps what is typed into a form until it is saved (core/static/core/js/draft.js). Only the
server knows that it was: a redirect may also lead to the log-in of an ended session, or back with
a warning. The answer names the draft in a cookie, which reaches the page that the redirect leads
to, with and without a service worker; that page drops the draft and the cookie.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponseBase
from django.http.response import HttpResponseRedirectBase

from core.access.views import PROGRAMS
from core.offline.once import waiting, worst_told

FIELD = "draft_id"  # of the form, written by the script
COOKIE = "saved_drafts"
MOST = 10  # in the cookie, where nobody opened a page meanwhile
LASTS_S = 3600
_ID = re.compile(r"[0-9a-z-]{8,40}")


class SavedDraftsMiddleware:
    """Adds the cookie to the answer of a form that was carried out. Stands after sessions, log-in
    and messages."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        if request.method != "POST" or request.path.startswith(PROGRAMS):
            return self.get_response(request)
        unread = waiting(request)
        response = self.get_response(request)
        if not isinstance(response, HttpResponseRedirectBase) or not request.user.is_authenticated:
            return response
        draft = request.POST.get(FIELD, "")
        if _ID.fullmatch(draft) and worst_told(request, unread) < messages.WARNING:
            others = [each for each in request.COOKIES.get(COOKIE, "").split(".") if each]
            value = ".".join([*others, draft][-MOST:])
            response.set_cookie(
                COOKIE,
                value,
                max_age=LASTS_S,
                secure=settings.SESSION_COOKIE_SECURE,
                samesite="Lax",
            )
        return response
