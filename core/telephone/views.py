"""Where what was shared into the app is put in its place, and where shortcuts lead."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from core.access.loaders import load_members
from core.access.views import public, signed_in, takes_nothing
from core.offline.queries import same_page_without
from core.places import INCOMING, SHORTCUTS

NOT_TAKEN = "not_taken"  # a parameter: the device could not hold what was shared


@require_safe
@signed_in
@same_page_without(NOT_TAKEN)
def incoming(request: Any) -> HttpResponse:
    """The forms that take what this device holds; what it holds, only the device knows."""
    members = load_members(request.user)
    found = INCOMING.call(members)
    places = [
        (member.production, [group for by in found for group in by.get(member.production.pk, ())])
        for member in members
    ]
    context = {"places": [(place, groups) for place, groups in places if groups]}
    return render(request, "core/telephone/incoming.html", context)


# The device's own worker takes what is shared, before it gets here. What does get here comes with
# no proof of who sent it, so it is not looked at: it could be a form of any other site.
@public
@takes_nothing
@never_cache
@require_http_methods(["GET", "POST"])
def not_taken(request: HttpRequest) -> HttpResponse:
    """Says that nothing was kept, and has the worker made ready for the next time."""
    if request.method == "GET":
        return redirect("core:incoming")
    return render(request, "core/telephone/not_taken.html")


@require_safe
@signed_in
def go(request: Any, shortcut: str) -> HttpResponse:
    """A shortcut is of everybody, what it leads to is of whoever presses it."""
    found = next((each for each in SHORTCUTS.call() if each.key == shortcut), None)
    if found is None:
        raise Http404(_("There is no such shortcut."))
    ways = found.ways(load_members(request.user))
    if len(ways) == 1:
        return redirect(ways[0].url)
    if not ways:
        messages.info(request, found.nowhere)
        return redirect("core:home")
    return render(request, "core/telephone/which.html", {"shortcut": found, "ways": ways})
