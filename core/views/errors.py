"""What people see when something is not right. No view needs to declare access: none is routed."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from django.core.exceptions import DisallowedHost
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.http.request import split_domain_port
from django.middleware.csrf import REASON_BAD_ORIGIN
from django.shortcuts import render
from django.template.loader import render_to_string
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.not_now import NotNow
from core.stored_files import StoredFileUnreadable

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

# Programs get JSON, like every other error of the API (core.api.errors), never a page.
API = "/api/"
CODES = {
    400: "bad_request",
    403: "permission_denied",
    404: "not_found",
    500: "error",
    503: "not_now",
}


class Trouble(NamedTuple):
    heading: StrOrPromise
    text: StrOrPromise
    icon: str
    leads_home: bool = True  # whether this server's own pages help


BAD_REQUEST = Trouble(
    gettext_lazy("That could not be read"),
    gettext_lazy(
        "The browser sent something incomplete. Go back, load the page again and repeat it."
    ),
    "circle-question-mark",
)
EXPIRED = Trouble(
    gettext_lazy("That page was open too long"),
    gettext_lazy(
        "Nothing was saved. Go back (what you typed is still there), load the page again "
        "in another tab to see that you are logged in, then save once more."
    ),
    "timer-off",
)
FORBIDDEN = Trouble(
    gettext_lazy("That is not yours to do"),
    gettext_lazy(
        "You are in this production, but this needs another role. "
        "A production manager can give it to you."
    ),
    "lock",
)
NOT_FOUND = Trouble(
    gettext_lazy("There is no such page"),
    gettext_lazy("The address may be mistyped, or it belongs to a production that you are not in."),
    "map-pin-off",
)

NOT_NOW = Trouble(gettext_lazy("Not now"), "", "hourglass")
UNREADABLE = Trouble(gettext_lazy("That cannot be read"), "", "circle-question-mark")


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    is_other_host = isinstance(exception, DisallowedHost)
    return _page(request, _other_host(request) if is_other_host else BAD_REQUEST, 400)


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    """A page that was open too long, or one of an origin that nobody said is this server's."""
    origin = request.headers.get("Origin", "")
    # The form itself was found to be in order first of all, where its origin is not.
    is_origin = reason.startswith(REASON_BAD_ORIGIN.partition("%s")[0])
    return _page(request, _other_origin(origin) if is_origin else EXPIRED, 403)


def _other_host(request: HttpRequest) -> Trouble:
    """Rendered before anybody is known, and for any name: it tells nothing of this server."""
    host = split_domain_port(request._get_raw_host())[0]  # type: ignore[attr-defined]
    asked = (
        _("You asked for “{host}”, and it does not answer to that.").format(host=host)
        if host
        else _("You asked for the name in the address, and it does not answer to that.")
    )
    remedy = _(
        "Whoever runs it adds the name to the environment variable TONELEDGER_HOSTS (names with "
        "commas between) and starts it anew. For phones in the same room, “manage.py start --lan” "
        "does so."
    )
    heading = _("This server has another name")
    return Trouble(heading, f"{asked} {remedy}", "map-pin-off", leads_home=False)


def _other_origin(origin: str) -> Trouble:
    opened = (
        _("The page was opened at {origin}, and the server does not know that this is itself.")
        if origin
        else _(
            "The page was opened at another address, and the server does not know that this is "
            "itself."
        )
    )
    remedy = _(
        "Whoever runs it adds that address to the environment variable TONELEDGER_ORIGINS and "
        "starts it anew."
    )
    return Trouble(
        _("That came from an address this server does not know"),
        " ".join([_("Nothing was saved."), opened.format(origin=origin), remedy]),
        "map-pin-off",
    )


def forbidden(request: HttpRequest, exception: Exception) -> HttpResponse:
    return _page(request, FORBIDDEN, 403)


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    if isinstance(exception, StoredFileUnreadable):
        # The sentence of that error is written for people, and names no path of the server.
        return _page(request, UNREADABLE._replace(text=str(exception)), 404)
    return _page(request, NOT_FOUND, 404)


def not_now(request: HttpRequest, exception: NotNow) -> HttpResponse:
    return _page(request, NOT_NOW._replace(text=str(exception)), 503)


def server_error(request: HttpRequest) -> HttpResponse:
    if request.path.startswith(API):
        return _json(_("Something broke on our side. It is logged; nothing was written."), 500)
    # Without the request: no session, no database, nothing that may be what broke.
    return HttpResponse(render_to_string("500.html"), status=500)


def _json(detail: StrOrPromise, status: int) -> HttpResponse:
    return JsonResponse({"code": CODES[status], "detail": detail}, status=status)


def _page(request: HttpRequest, trouble: Trouble, status: int) -> HttpResponse:
    if request.path.startswith(API):
        return _json(trouble.text, status)
    return render(request, "core/error.html", {"trouble": trouble}, status=status)
