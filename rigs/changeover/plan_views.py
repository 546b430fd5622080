"""The plan of a changeover: changed, begun with another show's, begun from what plays tonight."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_safe

from core.access.policy import Action
from core.access.urls import within
from core.access.views import ProductionRequest, production_view
from core.models import Show
from core.numbers import whole_number
from core.sets.saving import saved
from core.sets.services import last_show_before
from core.views.pages import asked_id
from rigs.changeover.forms import PlanForm
from rigs.changeover.proposals import Offer, offers, with_offers
from rigs.changeover.records import ChangeoverNow, changeover_of, changeovers_of, crew_of
from rigs.changeover.services import (
    CHANGED,
    begun_with,
    change,
    replace_plan,
    taken_from,
)
from rigs.changeover.state import Plan, Says, by_part, in_words
from rigs.models import ChangeoverChange
from rigs.shows.views import find_show

SHOWN_CHANGES = 5


@require_http_methods(["GET", "POST"])
@production_view(Action.READ, write=Action.EDIT_CHANGEOVER)
def edit(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    """The plan. Everything on it is one form, so that nothing typed is lost to a button."""
    show = find_show(request, show_id)
    own = within(request, "rigs:changeover_plan", show.pk)
    found = changeover_of(show)
    try:
        form = PlanForm(show, found, request.POST if request.method == "POST" else None)
        if form.is_valid() and saved(request, form, change, _("The changeover is as it was.")):
            return redirect(own)
    except ValidationError as refused:
        messages.error(request, " ".join(refused.messages))
        return redirect(own)
    changes = ChangeoverChange.objects.filter(changeover__show=show).defer("state")
    context = {
        "show": show,
        "form": form,
        "found": found,
        "over": abs(found.over_s) if found.over_s is not None else None,
        "changes": list(changes[: SHOWN_CHANGES + 1]),
        "active_nav": "tour",
    }
    return render(request, "rigs/changeover/plan.html", context)


@require_safe
@production_view(Action.READ)
def history(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    show = find_show(request, show_id)
    changes = ChangeoverChange.objects.filter(changeover__show=show).defer("state")
    context = {"show": show, "changes": changes, "active_nav": "tour"}
    return render(request, "rigs/changeover/history.html", context)


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_CHANGEOVER)
def take(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    """Begin with the plan of another show, after a look at what that changes (?from= names it)."""
    show = find_show(request, show_id)
    shows = Show.objects.filter(leg__production=request.production, retired_at=None)
    sources = shows.filter(changeover__isnull=False).exclude(pk=show.pk).select_related("leg")
    chosen = asked_id(request, "from")
    before = last_show_before(show, "changeover")
    source = get_object_or_404(sources, pk=chosen) if chosen else before
    found = changeovers_of([show, source] if source else [show])
    now = found[show.pk]
    plan = found[source.pk].plan if source else Plan()
    if source is not None and request.method == "POST":
        return _take(request, show, source, plan)
    taken = taken_from(plan, now.plan)
    crew = crew_of(request.production.pk, (*taken.steps, *now.plan.steps))
    context = {
        "show": show,
        "source": source,
        "sources": sources.order_by("-held_on", "-pk"),
        "words": in_words(now.plan, taken, crew.every_name) if source else [],
        "version": now.version,
        "active_nav": "tour",
    }
    return render(request, "rigs/changeover/take.html", context)


def _take(request: ProductionRequest, show: Show, source: Show, plan: Plan) -> HttpResponse:
    try:
        replace_plan(
            show,
            lambda now: taken_from(plan, now),
            by=request.user,
            because=begun_with(source),
            version=whole_number(request.POST.get("version")) or 0,
        )
    except ValidationError as refused:
        messages.error(request, " ".join(refused.messages))
        return redirect(request.get_full_path())
    messages.success(request, _("The changeover is that of {source}.").format(source=source))
    return redirect(within(request, "rigs:changeover_plan", show.pk))


@require_http_methods(["GET", "POST"])
@production_view(Action.EDIT_CHANGEOVER)
def propose(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    """Steps from what plays tonight, to be ticked: none is put in by itself."""
    show = find_show(request, show_id)
    found = changeover_of(show)
    offered = offers(show, found.plan)
    problem = ""
    if request.method == "POST":
        chosen = set(request.POST.getlist("step"))
        problem = _put_in(request, found, [each for each in offered if each.key in chosen])
        if not problem:
            return redirect(within(request, "rigs:changeover_plan", show.pk))
        offered = [each.ticked(each.key in chosen) for each in offered]
    context = {
        "show": show,
        "found": found,
        "parts": by_part(offered, lambda each: each.step.part),
        "problem": problem,
        "active_nav": "tour",
    }
    return render(request, "rigs/changeover/propose.html", context)


def _put_in(request: ProductionRequest, found: ChangeoverNow, chosen: list[Offer]) -> str:
    """Write the steps; else what is in the way."""
    if not chosen:
        return _("Tick the steps that are to be put in.")
    if whole_number(request.POST.get("version")) != found.version:
        return str(CHANGED)
    try:
        replace_plan(
            found.show,
            lambda now: with_offers(now, chosen),
            by=request.user,
            because=Says.FIRST_STEPS.in_english(),
            version=found.version,
        )
    except ValidationError as refused:
        return " ".join(refused.messages)
    count = len(chosen)
    messages.success(
        request, ngettext("{n} step put in.", "{n} steps put in.", count).format(n=count)
    )
    return ""
