"""What people see when something is not right. No view needs to declare access: none is routed."""

from __future__ import annotations

from typing import NamedTuple

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.template.loader import render_to_string

# Programs get JSON, like every other error of the API (core.api.errors), never a page.
API = "/api/"
CODES = {400: "bad_request", 403: "permission_denied", 404: "not_found", 500: "error"}


class Trouble(NamedTuple):
    heading: str
    text: str
    icon: str


BAD_REQUEST = Trouble(
    "That could not be read",
    "The browser sent something incomplete. Go back, load the page again and repeat it.",
    "circle-question-mark",
)
EXPIRED = Trouble(
    "That page was open too long",
    "Nothing was saved. Go back (what you typed is still there), load the page again in another "
    "tab to see that you are logged in, then save once more.",
    "timer-off",
)
FORBIDDEN = Trouble(
    "That is not yours to do",
    "You are in this production, but this needs another role. "
    "A production manager can give it to you.",
    "lock",
)
NOT_FOUND = Trouble(
    "There is no such page",
    "The address may be mistyped, or it belongs to a production that you are not in.",
    "map-pin-off",
)


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    return _page(request, BAD_REQUEST, 400)


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    return _page(request, EXPIRED, 403)


def forbidden(request: HttpRequest, exception: Exception) -> HttpResponse:
    return _page(request, FORBIDDEN, 403)


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    return _page(request, NOT_FOUND, 404)


def server_error(request: HttpRequest) -> HttpResponse:
    if request.path.startswith(API):
        return _json("Something broke on our side. It is logged; nothing was written.", 500)
    # Without the request: no session, no database, nothing that may be what broke.
    return HttpResponse(render_to_string("500.html"), status=500)


def _json(detail: str, status: int) -> HttpResponse:
    return JsonResponse({"code": CODES[status], "detail": detail}, status=status)


def _page(request: HttpRequest, trouble: Trouble, status: int) -> HttpResponse:
    if request.path.startswith(API):
        return _json(trouble.text, status)
    return render(request, "core/error.html", {"trouble": trouble}, status=status)
