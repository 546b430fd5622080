"""Everything the page of a timeline shows, in a fixed number of queries."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from typing import Any
from uuid import UUID

from django.utils import timezone
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from core.kept.shelf import Shelf
from core.languages.dates import day
from core.models import Leg, Production
from notes.models import OF_LINE_CHECKS
from notes.timeline.drawing import HEIGHT, TARGET, Band, DrawnMark, draw
from notes.timeline.labels import Face, counted, faces
from notes.timeline.marks import Mark, MarkKind, Span, Spot, span_of, spots
from notes.timeline.queries import ends, leg_span, marks
from notes.timeline.table import Edge, Row, rows
from rigs.models import Rig

Zoom = Callable[[Span], str]
FINE = 4  # marks nearer than a quarter of a unit of the picture come as one


@dataclass(frozen=True, slots=True)
class Timeline:
    """`svg` and `rows` are empty where nothing happened; `counts` say of what how much."""

    span: Span | None
    svg: str
    counts: list[str]
    rows: list[Row]
    older: Edge | None
    legs: list[Leg]


def timeline(
    production: Production,
    rig: Rig | None,
    span: Span | None,
    zoom: Zoom,
    before: Edge | None = None,
    *,
    keep: bool = False,
) -> Timeline:
    """The timeline of one rig, or of everything; without a `span`, all of its time.

    `zoom` gives the address of the same page for a span, to which marks that lie too near lead. The
    picture can be kept until something is written.
    """
    legs = list(production.legs.filter(retired_at=None))
    drawn = partial(_picture, production, rig, span, zoom, legs)
    if keep:
        asked = [rig and rig.pk, span and (span.start, span.end), get_language()]
        shelf = Shelf(production.pk, without=OF_LINE_CHECKS)
        picture = shelf.get("timeline", asked, drawn)
    else:
        picture = drawn()
    if picture["span"]:
        span = _here(Span(*map(datetime.fromisoformat, picture["span"])))
    if span is None or not picture["svg"]:
        return Timeline(span, "", [], [], None, legs)
    shown, older = rows(production, rig, span, before)
    return Timeline(span, picture["svg"], picture["counts"], shown, older, legs)


def _picture(
    production: Production, rig: Rig | None, span: Span | None, zoom: Zoom, legs: list[Leg]
) -> dict[str, Any]:
    """The span that it is of, the picture, and of what there is how much, as plain data."""
    # Without a span that was asked for: all that there is.
    span = _here(span or span_of(ends(production, rig)))
    if span is None:
        return {"span": None, "svg": "", "counts": []}
    here = [span.start.isoformat(), span.end.isoformat()]
    by_kind = marks(production, rig, span, HEIGHT * FINE)
    if not any(by_kind.values()):
        return {"span": here, "svg": "", "counts": []}
    bands = [Band(leg.name, leg_span(leg)) for leg in legs]
    title = _("Timeline of {subject}").format(subject=rig or production)
    counts = [
        counted(kind, sum(mark.n for mark in by_kind[kind])) for kind in MarkKind if by_kind[kind]
    ]
    svg = draw(span, _drawn(production, by_kind, span, zoom), bands, title=title)
    return {"span": here, "svg": svg, "counts": counts}


def _here(span: Span | None) -> Span | None:
    """The span with its ends in the time zone that dates are shown in."""
    return span and Span(timezone.localtime(span.start), timezone.localtime(span.end))


def _drawn(
    production: Production, by_kind: dict[MarkKind, list[Mark]], span: Span, zoom: Zoom
) -> list[DrawnMark]:
    every = [s for kind in MarkKind for s in spots(kind, by_kind[kind], span, HEIGHT, TARGET)]
    alone: dict[MarkKind, list[int | UUID]] = defaultdict(list)
    for spot in every:
        # Only single marks have words of their own; looking up every record would take too long.
        if spot.is_one:
            alone[spot.kind].append(spot.first.key)
    known = {kind: faces(kind, keys, production) for kind, keys in alone.items()}
    return [
        _one(spot, known[spot.kind][spot.first.key]) if spot.is_one else _many(spot, zoom)
        for spot in every
        # A record may have been removed between the two queries.
        if not spot.is_one or spot.first.key in known[spot.kind]
    ]


def _one(spot: Spot, face: Face) -> DrawnMark:
    at = f"{face.title}, {day(spot.first.at)}"
    title = ". ".join(filter(None, [at, face.rig, face.words]))
    return DrawnMark(spot, title, face.url)


def _many(spot: Spot, zoom: Zoom) -> DrawnMark:
    first, last = (timezone.localtime(moment) for moment in (spot.first.at, spot.end))
    around = span_of((first, last), margin=0.02)
    assert around is not None  # noqa: S101 - a spot has marks
    names = {"marks": counted(spot.kind, spot.count), "first": day(first), "last": day(last)}
    if first.date() == last.date():
        words = _("{marks}, {first}: look closer")
    else:
        words = _("{marks}, {first} to {last}: look closer")
    return DrawnMark(spot, words.format(**names), zoom(around))
