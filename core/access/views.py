"""Every view declares who may call it; the middleware refuses one that declares nothing."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any, TypeVar

from django.contrib.auth.decorators import login_required
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponseBase
from django.views.decorators.csrf import csrf_exempt

from core.access.guest import Guest
from core.access.loaders import Member, load_member
from core.access.policy import Action, allowed
from core.models import Production, User

View = Callable[..., HttpResponseBase]
V = TypeVar("V", bound=View)


class ProductionRequest(HttpRequest):
    """A request of a logged-in member, inside one production; or of a guest, who has a link."""

    user: User
    member: Member
    production: Production
    # Who reads by a link and has no account (core.guests.gate); no member has it.
    guest: Guest | None


def guest_of(request: HttpRequest) -> Guest | None:
    """The guest who reads; None for members, and on pages outside any production."""
    return getattr(request, "guest", None)


def private(view: Callable[..., HttpResponseBase]) -> Callable[..., HttpResponseBase]:
    """Keep the page out of search engines, and its address from being passed on to other pages."""

    @wraps(view)
    def guarded(*args: Any, **kwargs: Any) -> HttpResponseBase:
        response = view(*args, **kwargs)
        response.headers["X-Robots-Tag"] = "noindex, nofollow"
        # The address holds the token: sent as Referer, it would hand the key to another site.
        response.headers["Referrer-Policy"] = "no-referrer"
        return response

    return guarded


def production_view(
    action: Action, *, write: Action | None = None
) -> Callable[[Callable[..., HttpResponseBase]], View]:
    """A page below /p/<production>/: members only (404 otherwise), and only with the right role.

    `write` is asked for methods other than GET and HEAD, where it differs from `action`.
    """

    def decorate(view: Callable[..., HttpResponseBase]) -> View:
        def admit(request: Any, production: Any) -> None:
            if guest := guest_of(request):
                guest.admit(request, production, action)
                return
            # The production is looked up among the person's own memberships: of one that is
            # somebody else's the answer is the 404 of one that is not there.
            request.member = load_member(request.user, production)
            request.production = request.member.production
            asked_action = action if request.method in ("GET", "HEAD") else (write or action)
            if not allowed(request.member.roles, asked_action):
                raise PermissionDenied(asked_action)

        def admitted(request: Any, production: Any, *args: Any, **kwargs: Any) -> HttpResponseBase:
            admit(request, production)
            return view(request, *args, **kwargs)

        members = login_required(admitted)

        @wraps(view)
        def guarded(request: Any, *args: Any, **kwargs: Any) -> HttpResponseBase:
            # A guest has no account to log in with; their link was checked before they came here.
            enter = admitted if guest_of(request) else members
            return enter(request, *args, **kwargs)

        # Called by what does something for the view before the view runs (core.offline.once).
        guarded.admit = admit  # type: ignore[attr-defined]
        # Read by the middleware that refuses undeclared views, and by the test that walks all
        # addresses.
        guarded.access = (action, write or action)  # type: ignore[attr-defined]
        return guarded

    return decorate


def signed_in(view: V) -> V:
    """A page for anybody with an account, outside any production."""
    guarded = login_required(view)
    guarded.access = "signed in"  # type: ignore[attr-defined]
    return guarded


# Programs authenticate inside their views, later than middlewares look at a request.
PROGRAMS = "/api/"


def takes_nothing(view: V) -> V:
    """A view that anybody, also another site, may post to, because nothing of it is looked at."""
    view.takes_nothing = True  # type: ignore[attr-defined]
    return csrf_exempt(view)


def brings_form(request: HttpRequest, view: Any) -> bool:
    """Whether middlewares may look into what is posted: not into a program's request, and not into
    what comes without proof of who sent it."""
    if request.method != "POST" or request.path.startswith(PROGRAMS):
        return False
    return not getattr(view, "takes_nothing", False)


def public(view: V) -> V:
    """A page for everybody, such as the log-in. Say in the view why it may be."""
    view.access = "public"  # type: ignore[attr-defined]
    return view
