"""The page of a handover: the working copy, or a published one, by the same templates."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext, ngettext_lazy

from core.access.views import ProductionRequest, guest_of
from core.clock import now
from core.models import Leg
from notes.handover import short as shortening
from notes.handover.content import GENERAL, content_of
from notes.handover.drawings import with_covers, with_drawings
from notes.handover.in_words import between_in_words
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
from notes.handover.publish import between, read
from notes.handover.questions import questions_of, unanswered
from notes.handover.state import find, state_of
from notes.handover.talk import RefusedForm, Talk, Talking
from notes.models import PublishedHandover

Plain = dict[str, Any]


@dataclass(frozen=True, slots=True)
class ShownSection:
    """A section as it is read: what it says, who asked what, whether the reader read it."""

    part: PublishedSection
    data: Plain
    mine: ReadingCell | None

    @property
    def key(self) -> str:
        return self.part.key

    @property
    def title(self) -> str:
        return str(self.part.title)


def show_copy(
    request: ProductionRequest, leg: Leg, refused: RefusedForm | None = None
) -> HttpResponse:
    """What would be published now. A refused form stands in its place with what was typed."""
    records = find(leg)
    content = content_of(records)
    progress = progress_of_copy(leg.production, records.handover, content)
    context = {"leg": leg, "newest": newest_of(leg)}
    return _page(request, content, progress, context, refused)


def show_published(
    request: ProductionRequest, published: PublishedHandover, refused: RefusedForm | None = None
) -> HttpResponse:
    """What was published, by the same templates."""
    content, leg = read(published), published.handover.leg
    newest = newest_of(leg)
    context = {
        "leg": leg,
        "published": published,
        "since": None if guest_of(request) else _since(published, content),
        "newer": newest if newest and newest.pk != published.pk else None,
    }
    return _page(request, content, progress_of(published), context, refused)


def _page(
    request: ProductionRequest,
    content: Plain,
    progress: Progress,
    more: Plain,
    refused: RefusedForm | None,
) -> HttpResponse:
    order, long = order_for(request.GET.get("for", ""), request.member.roles), "long" in request.GET
    guest = guest_of(request)
    if guest is not None and guest.link.parts:
        content, progress = only(guest.link.parts, content, progress)
    whole, brief = shortening.full(content), shortening.short(content, order, progress.digest)
    version = whole if long else brief
    # What the crew asks is the crew's.
    questions = {} if guest else questions_of(progress.handover)
    # Drawings take queries and room, so only the full version has them.
    shown = with_drawings(version.content) if long else with_covers(version.content, content)
    talks = _talks(request, progress, shown, questions, refused)
    context = {
        "content": content,
        "version": version,
        "whole": whole,
        "brief": brief,
        "long": long,
        "order": order,
        "orders": ORDERS.values(),
        "talks": talks if long else _players_first(talks),
        "progress": progress,
        "mine": progress.of(request.user),
        "unanswered": unanswered(q for each in questions.values() for q in each),
        "now": now(),
        "active_nav": "handover",
        "pace": WORDS_A_MINUTE,
        "left_out": left_out(version.left_out),
        **more,
    }
    return render(request, "notes/handover/handover.html", context)


def only(keys: Iterable[str], content: Plain, progress: Progress) -> tuple[Plain, Progress]:
    """What is said in the sections named, and nothing of the others: whatever stands beside
    sections is of the general one."""
    kept = set(keys)
    general = content[GENERAL] if GENERAL in kept else {}
    leg = content["leg"] if GENERAL in kept else {**content["leg"], "shows": [], "notes": ""}
    sections = [each for each in content["sections"] if each["key"] in kept]
    parts = [each for each in progress.parts if each.key in kept]
    shown = {**content, GENERAL: general, "leg": leg, "sections": sections}
    return shown, replace(progress, parts=parts, readers=[])


def _since(published: PublishedHandover, content: Plain) -> Plain | None:
    """What is different now from what was published."""
    here = find(published.handover.leg)
    return between_in_words(between(content, state_of(here), here.rigs))


def _talks(
    request: ProductionRequest,
    progress: Progress,
    content: Plain,
    questions: Mapping[Any, list[Any]],
    refused: RefusedForm | None,
) -> list[Talk]:
    talking, mine = Talking(request, refused), progress.of(request.user)
    cells = {cell.part.key: cell for cell in mine.cells} if mine else {}
    data = {"general": content["general"], **{each["key"]: each for each in content["sections"]}}
    return [
        talking.about(
            ShownSection(part, data[part.key], cells.get(part.key)), part.player, questions
        )
        for part in progress.parts
    ]


def _players_first(talks: list[Talk]) -> list[Talk]:
    """Whoever has ten minutes begins with the players; the cautions stand above them all."""
    return sorted(talks, key=lambda talk: talk.section.part.player is None)


# What `cut` counts, in words.
_LEFT_OUT = {
    "changes": ngettext_lazy("{n} change", "{n} changes", "n"),
    "open notes": ngettext_lazy("{n} open note", "{n} open notes", "n"),
    "open trials": ngettext_lazy("{n} open trial", "{n} open trials", "n"),
    "rejected alternatives": ngettext_lazy(
        "{n} rejected alternative", "{n} rejected alternatives", "n"
    ),
    "findings": ngettext_lazy("{n} finding", "{n} findings", "n"),
    "photos": ngettext_lazy("{n} photo", "{n} photos", "n"),
    "cables": ngettext_lazy("{n} cable", "{n} cables", "n"),
    "settings": ngettext_lazy("{n} setting", "{n} settings", "n"),
    "figures": ngettext_lazy("{n} figure", "{n} figures", "n"),
    "spares": ngettext_lazy("{n} spare", "{n} spares", "n"),
    "units": ngettext_lazy("{n} unit", "{n} units", "n"),
    "signatures": ngettext_lazy("{n} signature", "{n} signatures", "n"),
    "details of inputs": ngettext_lazy("{n} detail of an input", "{n} details of inputs", "n"),
    "places of microphones": ngettext_lazy(
        "{n} place of a microphone", "{n} places of microphones", "n"
    ),
    "places of units": ngettext_lazy("{n} place of a unit", "{n} places of units", "n"),
    "crew notes": ngettext_lazy("{n} crew note", "{n} crew notes", "n"),
    "sounds in the player’s words": ngettext_lazy(
        "{n} sound in the player’s words", "{n} sounds in the player’s words", "n"
    ),
    "scenes": ngettext_lazy("{n} scene", "{n} scenes", "n"),
    "songs": ngettext_lazy("{n} song", "{n} songs", "n"),
    "places in the kit": ngettext_lazy("{n} place in the kit", "{n} places in the kit", "n"),
    "lines on records": ngettext_lazy("{n} line on a record", "{n} lines on records", "n"),
    "monitor mixes": ngettext_lazy("{n} monitor mix", "{n} monitor mixes", "n"),
    "lines of monitor mixes": ngettext_lazy(
        "{n} line of a monitor mix", "{n} lines of monitor mixes", "n"
    ),
    "notes on monitor mixes": ngettext_lazy(
        "{n} note on a monitor mix", "{n} notes on monitor mixes", "n"
    ),
    "marks of panels": ngettext_lazy("{n} mark of a panel", "{n} marks of panels", "n"),
}


def left_out(counted: Counter[str]) -> str:
    """“12 settings, 3 changes”, the most first."""
    return gettext(", ").join(_LEFT_OUT[what].format(n=n) for what, n in counted.most_common())
