"""A published handover: read it, see what changed before and since; publish one."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.db.models import QuerySet
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from core.access.policy import Action
from core.access.views import ProductionRequest, production_view
from core.clock import now
from core.models import Leg
from notes.handover.questions import questions_of, unanswered
from notes.models import Handover, PublishedHandover
from notes.published import short as shortening
from notes.published.differences import is_empty
from notes.published.drawn import with_drawings
from notes.published.newest import last_of, newest_of
from notes.published.orders import ORDERS, order_for
from notes.published.pace import WORDS_A_MINUTE
from notes.published.printing import handover_pdf
from notes.published.progress import Cell, Part, Progress, progress_of
from notes.published.publishing import NothingNew, between, missing, publish, read
from notes.published.state import find, state_of
from notes.views.talk import Refused, Talk, Talking
from rigs.paper.responses import paper_of, pdf

Plain = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Shown:
    """A section as it is read: what was published, who asked what, whether the reader read it."""

    part: Part
    data: Plain
    mine: Cell | None

    @property
    def key(self) -> str:
        return self.part.key

    @property
    def title(self) -> str:
        return self.part.title


@require_safe
@production_view(Action.READ)
def printed(request: ProductionRequest, published: UUID) -> HttpResponse:
    """On paper; `?player=` keeps to one player, `?paper=us-letter` asks for Letter."""
    found = find_published(request, published)
    try:
        data = handover_pdf(
            found,
            address=request.build_absolute_uri(found.get_absolute_url()),
            paper=paper_of(request),
            player=request.GET.get("player", ""),
        )
    except LookupError as error:
        raise Http404(str(error)) from None
    return pdf(request, data, f"Handover {found.number}")


def find_published(request: ProductionRequest, published: UUID) -> PublishedHandover:
    found = _all(request).filter(pk=published)
    return get_object_or_404(found)


def _all(request: ProductionRequest) -> QuerySet[PublishedHandover]:
    return (
        PublishedHandover.objects.filter(production=request.production)
        .select_related("production", "handover__leg__production", "published_by", "previous")
        .defer("previous__content")
    )


@require_safe
@production_view(Action.READ)
def published(request: ProductionRequest, published: UUID) -> HttpResponse:
    return show(request, find_published(request, published))


def show(
    request: ProductionRequest, found: PublishedHandover, refused: Refused | None = None
) -> HttpResponse:
    """The page. A refused form stands in its place with what was typed."""
    content, order = read(found), order_for(request.GET.get("for", ""), request.member.roles)
    long = "long" in request.GET
    whole, brief = shortening.full(content), shortening.short(content, order, found.digest)
    version = whole if long else brief
    progress = progress_of(found)
    questions = questions_of(found.handover)
    shown = with_drawings(version.content) if long else version.content
    talks = _talks(request, progress, shown, questions, refused)
    newest = newest_of(found.handover.leg)
    context = {
        "published": found,
        "content": content,
        "version": version,
        "whole": whole,
        "brief": brief,
        "long": long,
        "order": order,
        "orders": ORDERS.values(),
        "talks": talks,
        "progress": progress,
        "mine": progress.of(request.user),
        "since": since(found, content),
        "unanswered": unanswered(q for each in questions.values() for q in each),
        "newer": newest if newest and newest.pk != found.pk else None,
        "now": now(),
        "active_nav": "handover",
        "leg": found.handover.leg,
        "pace": WORDS_A_MINUTE,
        "left_out": left_out(version.left_out),
    }
    return render(request, "notes/published/published.html", context)


def since(found: PublishedHandover, content: Plain) -> Plain:
    """What is different now from what was published."""
    here = find(found.handover.leg)
    return between(content, state_of(here), here.rigs)


def _talks(
    request: ProductionRequest,
    progress: Progress,
    content: Plain,
    questions: Mapping[UUID | None, list[Any]],
    refused: Refused | None,
) -> list[Talk]:
    talking, mine = Talking(request, refused), progress.of(request.user)
    cells = {cell.part.key: cell for cell in mine.cells} if mine else {}
    data = {"general": content["general"], **{each["key"]: each for each in content["sections"]}}
    return [
        talking.about(Shown(part, data[part.key], cells.get(part.key)), part.player, questions)
        for part in progress.parts
    ]


ONE = {
    "changes": "change",
    "open notes": "open note",
    "open trials": "open trial",
    "rejected alternatives": "rejected alternative",
    "findings": "finding",
    "photos": "photo",
    "cables": "cable",
    "settings": "setting",
    "figures": "figure",
    "spares": "spare",
    "units": "unit",
    "signatures": "signature",
    "details of inputs": "detail of an input",
    "places of microphones": "place of a microphone",
    "places of units": "place of a unit",
    "crew notes": "crew note",
    "sounds in the player’s words": "sound in the player’s words",
    "songs": "song",
    "places in the kit": "place in the kit",
    "lines on records": "line on a record",
}


def left_out(counted: Counter[str]) -> str:
    """“12 settings, 3 changes”, the most first."""
    return ", ".join(
        f"{number} {ONE.get(what, what) if number == 1 else what}"
        for what, number in counted.most_common()
    )


@require_safe
@production_view(Action.READ)
def compare(request: ProductionRequest, published: UUID) -> HttpResponse:
    """What changed between the one before and this one, as it was told when this was published."""
    found = find_published(request, published)
    content = read(found)
    context = {
        "published": found,
        "content": content,
        "before": found.previous,
        "found": content.get("between"),
        "active_nav": "handover",
    }
    return render(request, "notes/published/compare.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@production_view(Action.WRITE_HANDOVER)
def new(request: ProductionRequest, leg: UUID) -> HttpResponse:
    """Publish: what is missing and what is new, and the button."""
    legs = Leg.objects.select_related("production")
    found = get_object_or_404(legs, pk=leg, production=request.production)
    if request.method == "POST":
        return _publish(request, found)
    here, last = find(found), last_of(request.production)
    state = state_of(here)
    waiting = unanswered(q for each in questions_of(here.handover).values() for q in each)
    changed = between(read(last), state, here.rigs) if last else None
    context = {
        "leg": found,
        "last": last,
        "number": last.number + 1 if last else 1,
        "missing": missing(state, len(waiting)),
        "found": changed,
        "is_empty": changed is not None and is_empty(changed),
        "active_nav": "handover",
        "cancel_url": Handover(leg=found).get_absolute_url(),
    }
    return render(request, "notes/published/new.html", context)


def _publish(request: ProductionRequest, leg: Leg) -> HttpResponse:
    try:
        made = publish(leg=leg, by=request.user)
    except NothingNew as refused:
        messages.info(request, f"{refused} {refused.last} still is what the crew reads.")
        return redirect(refused.last)
    messages.success(request, f"{made} is published. What it says stays as it is.")
    return redirect(made)
