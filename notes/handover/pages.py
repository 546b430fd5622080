"""The page of a handover: the working copy, or a published one, by the same templates.

What it says is rendered once and kept (notes.handover.said); around that stands what differs from
reader to reader.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.utils.safestring import SafeString

from core.access.policy import Action, allowed
from core.access.views import ProductionRequest, guest_of
from core.clock import now
from core.kept.shelf import Shelf
from core.models import Leg
from notes.handover.newest import newest_of
from notes.handover.orders import ORDERS, order_for
from notes.handover.pace import WORDS_A_MINUTE
from notes.handover.progress import (
    Progress,
    PublishedSection,
    ReadingCell,
    progress_of,
    progress_of_copy,
)
from notes.handover.questions import questions_of, unanswered
from notes.handover.said import OfSection, Said, Way, copy_said, published_said, since_said
from notes.handover.talk import RefusedForm, Talk, Talking
from notes.models import OF_LINE_CHECKS, Handover, PublishedHandover

Plain = dict[str, Any]


@dataclass(frozen=True, slots=True)
class ShownSection(OfSection):
    """A section as it is read: what it says, whether the reader read it."""

    html: SafeString
    instrument: str
    mine: ReadingCell | None


def show_copy(
    request: ProductionRequest, leg: Leg, refused: RefusedForm | None = None
) -> HttpResponse:
    """What would be published now. A refused form stands in its place with what was typed."""
    way = _way(request, writer=allowed(request.member.roles, Action.WRITE_HANDOVER))
    said = copy_said(Shelf(leg.production_id, without=OF_LINE_CHECKS), leg, way)
    handover = Handover.objects.filter(leg=leg).first()
    progress = progress_of_copy(leg.production, handover, said.outline)
    context = {"leg": leg, "newest": newest_of(leg)}
    return _page(request, way, said, progress, context, refused)


def show_published(
    request: ProductionRequest, published: PublishedHandover, refused: RefusedForm | None = None
) -> HttpResponse:
    """What was published, by the same templates."""
    leg, way = published.handover.leg, _way(request)
    shelf = Shelf(published.production_id, without=OF_LINE_CHECKS)
    with shelf.together():
        said = published_said(shelf, published, way)
        since = "" if way.guest else since_said(shelf, published)
    newest = newest_of(leg)
    context = {
        "leg": leg,
        "published": published,
        "since": since,
        "newer": newest if newest and newest.pk != published.pk else None,
    }
    return _page(request, way, said, progress_of(published), context, refused)


def _way(request: ProductionRequest, *, writer: bool = False) -> Way:
    guest, order = guest_of(request), order_for(request.GET.get("for", ""), request.member.roles)
    sections = guest.link.parts if guest else ()
    return Way(order, "long" in request.GET, sections, guest is not None, writer)


def _page(
    request: ProductionRequest,
    way: Way,
    said: Said,
    progress: Progress,
    more: Plain,
    refused: RefusedForm | None,
) -> HttpResponse:
    if way.sections:
        parts = [each for each in progress.parts if each.key in said.html]
        progress = replace(progress, parts=parts, readers=[])
    # What the crew asks is the crew's.
    questions = {} if way.guest else questions_of(progress.handover)
    talks = _talks(request, progress, said, questions, refused)
    context = {
        "content": said.head,
        "said": said,
        "long": way.long,
        "order": way.order,
        "orders": ORDERS.values(),
        "talks": talks if way.long else _players_first(talks),
        "progress": progress,
        "mine": progress.of(request.user),
        "unanswered": unanswered(q for each in questions.values() for q in each),
        "now": now(),
        "active_nav": "handover",
        "pace": WORDS_A_MINUTE,
        "left_out": said.left_out,
        **more,
    }
    return render(request, "notes/handover/handover.html", context)


def _talks(
    request: ProductionRequest,
    progress: Progress,
    said: Said,
    questions: Mapping[Any, list[Any]],
    refused: RefusedForm | None,
) -> list[Talk]:
    talking, mine = Talking(request, refused), progress.of(request.user)
    cells = {cell.part.key: cell for cell in mine.cells} if mine else {}
    return [
        talking.about(_shown(part, said, cells.get(part.key)), part.player, questions)
        for part in progress.parts
    ]


def _shown(part: PublishedSection, said: Said, mine: ReadingCell | None) -> ShownSection:
    return ShownSection(part, said.html[part.key], said.instruments.get(part.key, ""), mine)


def _players_first(talks: list[Talk]) -> list[Talk]:
    """Whoever has ten minutes begins with the players; the cautions stand above them all."""
    return sorted(talks, key=lambda talk: talk.section.part.player is None)
