"""A guest at the door: the link, its word, and the page of the production that it opens."""

from __future__ import annotations

import copy
from typing import Any

from django.contrib.auth.models import AnonymousUser
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase, QueryDict
from django.urls import Resolver404, resolve, reverse

from core.access.guest import Guest
from core.guests.left_out import for_a_guest
from core.guests.links import look_up, shared_of
from core.guests.rewritten import as_guest
from core.languages.choice import read_unless_chosen
from core.links import LinkClosed
from core.places import GUEST_ASKED, GuestForm

READ = (200, 206, 304, 416)  # whole, in part, as it was, no such part


def guest_with(token: str, request: HttpRequest | None = None) -> Guest:
    """The guest who holds the link; what is shown to them on `request` comes in its language.
    Raises LinkClosed, also where the thing is not there now."""
    link = look_up(token)
    if request is not None:
        read_unless_chosen(request, link.language)
    shared = shared_of(link.production, link.kind, link.subject, link.parts)
    if shared is None:
        raise LinkClosed
    home = reverse("core:guest", args=[token])
    return Guest(link, shared.title, shared.start, shared.opens, home)


def asked_of(guest: Guest, data: QueryDict | None = None) -> GuestForm | None:
    """What the guest is asked; with `data`, what became of it. None where nothing is asked."""
    link = guest.link
    return GUEST_ASKED.first(link, data) if link.may_answer else None


def opened_by(request: HttpRequest, guest: Guest, rest: str) -> HttpResponseBase:
    """The answer of the view that members ask, for what the link opens. Raises Http404 for
    whatever else there may be."""
    path = f"{guest.inside}{rest}" if rest else guest.start
    opened = guest.opens.get(path)
    if opened is None:
        raise Http404("The link does not open that.")
    try:
        match = resolve(path)
        inner = _inner(request, guest, path)
        with for_a_guest():
            response: HttpResponseBase = match.func(inner, *match.args, **match.kwargs)
    except (Resolver404, PermissionDenied) as closed:
        raise Http404("The link does not open that.") from closed
    if response.status_code not in READ:
        raise Http404("The link does not open that.")
    if response.headers.get("Content-Type", "").startswith("text/html"):
        text = as_guest(response.content.decode(), guest)  # type: ignore[attr-defined]
        return HttpResponse(text, status=response.status_code)
    # The link ends one day: nothing is to outlive it.
    response.headers["Cache-Control"] = "private, no-store"
    return response


def _inner(request: HttpRequest, guest: Guest, path: str) -> Any:
    """The request as the view of the production gets it: of the guest, whoever is logged in."""
    inner: Any = copy.copy(request)
    inner.path = inner.path_info = path
    inner.GET = guest.opens[path].asked(request.GET.dict())
    inner.META = request.META | {"PATH_INFO": path, "QUERY_STRING": inner.GET.urlencode()}
    inner.method = "HEAD" if request.method == "HEAD" else "GET"
    inner.user = AnonymousUser()
    inner.guest = guest
    inner._messages = []  # those that wait are for whoever is logged in
    return inner
