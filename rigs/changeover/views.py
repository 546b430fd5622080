"""The changeover of a show while it happens: ticks, the clock, what others do, and its paper."""

from __future__ import annotations

from functools import partial
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_GET, require_POST, require_safe

from core.access.policy import Action
from core.access.urls import within
from core.access.views import ProductionRequest, production_view
from core.live.stream import Watch, live_response
from core.models import Leg, Show
from core.numbers import whole_number
from core.places import Panel
from rigs.changeover.cautions import HURRY
from rigs.changeover.live import clock_of, face_of, mark_words, news_of
from rigs.changeover.paper import changeover_page
from rigs.changeover.records import changeover_of, changeovers_of
from rigs.changeover.services import mark_clock, mark_step, open_all, topic_of
from rigs.paper.responses import paper_of, pdf
from rigs.shows.views import find_show


@require_safe
@production_view(Action.READ)
def changeover(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    return _page(request, find_show(request, show_id))


def _page(request: ProductionRequest, show: Show, refused: str = "") -> HttpResponse:
    """The page. What was refused has a status of its own, so that what waited for a network is not
    taken for done."""
    found = changeover_of(show)
    context = {
        "show": show,
        "found": found,
        "parts": [
            (name, [(step, mark_words(step)) for step in steps]) for name, steps in found.parts
        ],
        "clock": clock_of(found),
        "face": face_of(found),
        "over": abs(found.over_s) if found.over_s is not None else None,
        "caution": HURRY,
        "refused": refused,
        "active_nav": "tour",
    }
    status = 409 if refused else 200
    return render(request, "rigs/changeover/changeover.html", context, status=status)


@require_POST
@production_view(Action.MARK_CHANGEOVER)
def tick(request: ProductionRequest, show_id: UUID, step_id: UUID) -> HttpResponse:
    """Take one press: `what` is done or open."""
    show = find_show(request, show_id)
    try:
        said, _ = mark_step(show, step_id, request.POST.get("what", ""), by=request.user)
    except ValidationError as refused:
        return _page(request, show, " ".join(refused.messages))
    if said:
        messages.warning(request, said)
    return redirect(f"{within(request, 'rigs:changeover', show.pk)}#step-{step_id}")


@require_POST
@production_view(Action.MARK_CHANGEOVER)
def clock(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    """Start the clock, or stop it: `what` is start or stop."""
    show = find_show(request, show_id)
    try:
        said = mark_clock(show, request.POST.get("what", ""), by=request.user)
    except ValidationError as refused:
        return _page(request, show, " ".join(refused.messages))
    messages.info(request, said)
    return redirect(within(request, "rigs:changeover", show.pk))


@require_POST
@production_view(Action.MARK_CHANGEOVER)
def open_again(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    """Take every tick back."""
    show = find_show(request, show_id)
    try:
        count = open_all(show, by=request.user)
    except ValidationError as refused:
        return _page(request, show, " ".join(refused.messages))
    messages.success(
        request, ngettext("{n} step open again.", "{n} steps open again.", count).format(n=count)
    )
    return redirect(within(request, "rigs:changeover", show.pk))


@require_GET
@production_view(Action.READ)
def live(request: ProductionRequest, show_id: UUID) -> HttpResponseBase:
    """Server-sent events of what is pressed after `?since=`, or after that of a returning page."""
    show = find_show(request, show_id)
    now = changeover_of(show).number
    since = whole_number(request.headers.get("Last-Event-ID") or request.GET.get("since", ""))
    watch = Watch(
        topic_of(show.pk),
        request.production.pk,
        request.user,
        # A number that is still to come would hide what happens up to it.
        now if since is None else min(since, now),
        partial(news_of, show),
        request.session.session_key or "",
    )
    return live_response(request, watch)


@require_safe
@production_view(Action.READ)
def paper(request: ProductionRequest, show_id: UUID) -> HttpResponse:
    """A4, or Letter by ?paper=us-letter."""
    show = find_show(request, show_id)
    made = changeover_page(show, changeover_of(show), paper=paper_of(request))
    return pdf(request, made, _("Changeover, {show}").format(show=show))


def of_shows(request: HttpRequest, leg: Leg) -> dict[UUID, Panel]:
    """For the page of a leg: the changeover of each show. Three queries, however many shows."""
    shows = [show for show in leg.shows.all() if not show.is_retired]
    found = changeovers_of(shows) if shows else {}
    template = "rigs/changeover/_of_show.html"
    return {key: Panel(template, {"found": each}) for key, each in found.items()}
