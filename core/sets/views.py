"""The page of a show's set, its history, and what it begins with."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_safe

from core.access.policy import Action
from core.access.urls import within
from core.access.views import ProductionRequest, production_view
from core.models import Leg, SetChange, Show
from core.numbers import whole_number
from core.places import Panel
from core.sets.forms import SetForm
from core.sets.order import SetOfShow, own_sets, set_of_show, sets_of_shows
from core.sets.saving import saved
from core.sets.services import (
    again_words,
    begun_with,
    change,
    last_show_before,
    leg_rows,
    matched,
    replace_set,
    set_for_leg,
    state_of,
    take_again,
    titles_of,
)
from core.sets.words import in_words
from core.views.pages import asked_id

SHOWN_CHANGES = 5


def find_show(request: ProductionRequest, show_id: UUID) -> Show:
    """The show of this production, retired ones too, or 404."""
    shows = Show.objects.select_related("leg__production")
    show: Show = get_object_or_404(shows, pk=show_id, leg__production=request.production)
    return show


@require_http_methods(["GET", "POST"])
@production_view(Action.READ, write=Action.EDIT_SET)
def edit(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    """Tonight's set. Everything on it is one form, so that nothing typed is lost to a button."""
    show = find_show(request, show_id)
    own = within(request, "core:show_set", show.pk)
    found = set_of_show(show)
    try:
        form = SetForm(show, found, request.POST if request.method == "POST" else None)
        if form.is_valid() and saved(request, form, change, _("The set is as it was.")):
            return redirect(own)
    except ValidationError as refused:
        messages.error(request, " ".join(refused.messages))
        return redirect(own)
    changes = SetChange.objects.filter(set__show=show).defer("state")
    context = {
        "show": show,
        "form": form,
        "found": found,
        "over": abs(found.over_s) if found.over_s is not None else None,
        "changes": list(changes[: SHOWN_CHANGES + 1]),
        "active_nav": "tour",
    }
    return render(request, "core/sets/set.html", context)


@require_safe
@production_view(Action.READ)
def history(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    show = find_show(request, show_id)
    changes = SetChange.objects.filter(set__show=show).defer("state")
    context = {
        "show": show,
        "changes": changes,
        "version": set_of_show(show).version,
        "active_nav": "tour",
    }
    return render(request, "core/sets/history.html", context)


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_SET)
def again(request: ProductionRequest, show_id: UUID, number: int) -> HttpResponse:
    """Take the set as it was after one of its changes, after a look at what that changes."""
    show = find_show(request, show_id)
    changes = SetChange.objects.filter(set__show=show)
    was: SetChange = get_object_or_404(changes, number=number)
    found = set_of_show(show)
    if request.method == "POST":
        try:
            seen = whole_number(request.POST.get("version"))
            take_again(show, was, by=request.user, version=seen or 0)
        except ValidationError as refused:
            messages.error(request, " ".join(refused.messages))
            return redirect(request.get_full_path())
        messages.success(request, _("The set is as it was then."))
        return redirect(within(request, "core:show_set", show.pk))
    context = {
        "show": show,
        "was": was,
        "words": again_words(was, found, titles_of(request.production.pk)),
        "version": found.version,
        "active_nav": "tour",
    }
    return render(request, "core/sets/again.html", context)


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_SET)
def take(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    """Begin with the set of another show, after a look at what that changes (?from= names it)."""
    show = find_show(request, show_id)
    shows = Show.objects.filter(leg__production=request.production, retired_at=None)
    sources = shows.filter(own_set__isnull=False).exclude(pk=show.pk).select_related("leg")
    chosen = asked_id(request, "from")
    source = get_object_or_404(sources, pk=chosen) if chosen else last_show_before(show)
    words: list[str] = []
    version = 0
    if source is not None:
        found = sets_of_shows([show, source])
        version = found[show.pk].version
        now, wanted = state_of(found[show.pk]), state_of(found[source.pk])
        words = in_words(now, matched(wanted, now), titles_of(request.production.pk))
        if request.method == "POST":
            return _take(request, show, source)
    context = {
        "show": show,
        "source": source,
        "sources": sources.order_by("-held_on", "-pk"),
        "words": words,
        "version": version,
        "is_same": source is not None and not words and found[show.pk].is_own,
        "active_nav": "tour",
    }
    return render(request, "core/sets/take.html", context)


def _take(request: ProductionRequest, show: Show, source: Show) -> HttpResponse:
    wanted = state_of(set_of_show(source))
    try:
        seen = whole_number(request.POST.get("version"))
        replace_set(show, wanted, by=request.user, because=begun_with(source), version=seen or 0)
    except ValidationError as refused:
        messages.error(request, " ".join(refused.messages))
        return redirect(request.get_full_path())
    else:
        messages.success(request, _("The set is that of {show}.").format(show=source))
    return redirect(within(request, "core:show_set", show.pk))


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_TOUR)
def for_leg(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    """The set of this show for the others of its leg, after a look at what that changes."""
    show = find_show(request, show_id)
    if request.method == "POST":
        chosen = {}
        for text in request.POST.getlist("show"):
            try:
                chosen[UUID(text)] = int(request.POST.get(f"version-{text}", ""))
            except ValueError:
                continue  # no show of this page
        done, left = set_for_leg(show, chosen, by=request.user)
        if left:
            words = _("Left as it is, because it was changed meanwhile: {shows}.")
            messages.warning(request, words.format(shows=_(", ").join(map(str, left))))
        words = ngettext("{n} show has this set now.", "{n} shows have this set now.", len(done))
        messages.success(request, words.format(n=len(done)))
        return redirect(within(request, "core:show_set", show.pk))
    context = {"show": show, "rows": leg_rows(show), "active_nav": "tour"}
    return render(request, "core/sets/leg.html", context)


def of_shows(request: HttpRequest, leg: Leg) -> dict[UUID, Panel]:
    """For the page of a leg: the set of each show. Two queries, however many shows."""
    shows = [show for show in leg.shows.all() if not show.is_retired]
    found = own_sets(shows) if shows else {}
    # Of a show without one nothing is told of the songs, so they are not laid out.
    return {
        show.pk: Panel("core/sets/_of_show.html", {"found": found.get(show.pk, SetOfShow(()))})
        for show in shows
    }
