"""When everything of a production, or of one rig, happened. One query for each kind of record."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from typing import Any

from django.db.models import Q, QuerySet
from django.db.models.functions import Coalesce
from django.utils import timezone

from core.models import Leg, Production, Show
from notes.models import Note, SignOff, Trial
from notes.timeline.marks import Mark, MarkKind, Span
from rigs.models import Revision, Rig

# The moment by which each kind of record is put in order. A show has a date only.
MOMENTS = {
    MarkKind.CHANGE: "happened",
    MarkKind.NOTE: "written_at",
    MarkKind.TRIAL: "opened_at",
    MarkKind.SIGN_OFF: "at",
}
NOON = time(12)


def records(kind: MarkKind, production: Production, rig: Rig | None) -> QuerySet[Any]:
    """All records of `kind`; shows belong to every rig."""
    if kind is MarkKind.SHOW:
        shows = Show.objects.filter(leg__production=production, retired_at=None)
        return shows.filter(leg__retired_at=None)
    rows: QuerySet[Any] = {
        MarkKind.CHANGE: _changes(production),
        MarkKind.NOTE: Note.objects.filter(production=production),
        MarkKind.TRIAL: Trial.objects.filter(production=production),
        MarkKind.SIGN_OFF: SignOff.objects.filter(rig__production=production),
    }[kind]
    return rows.filter(rig=rig) if rig else rows


def _changes(production: Production) -> QuerySet[Any]:
    """Changes by when they were written, which is earlier than when they arrived if they waited."""
    found = Revision.objects.filter(rig__production=production)
    return found.annotate(happened=Coalesce("written_at", "at"))


def marks(
    production: Production, rig: Rig | None = None, span: Span | None = None
) -> dict[MarkKind, list[Mark]]:
    """Every record as a mark, within `span` if there is one; in no particular order."""
    return {kind: _marks(kind, records(kind, production, rig), span) for kind in MarkKind}


def _marks(kind: MarkKind, rows: QuerySet[Any], span: Span | None) -> list[Mark]:
    if kind is MarkKind.SHOW:
        return shows_within(rows, span)
    field = MOMENTS[kind]
    rows = within(rows, field, span) if span else rows
    return [Mark(at, key) for at, key in rows.order_by().values_list(field, "pk")]


def within(rows: QuerySet[Any], field: str, span: Span) -> QuerySet[Any]:
    return rows.filter(Q(**{f"{field}__gte": span.start, f"{field}__lt": span.end}))


def shows_within(shows: QuerySet[Any], span: Span | None) -> list[Mark]:
    """Shows stand at noon of their day."""
    every = [Mark(moment(day), key) for day, key in shows.order_by().values_list("held_on", "pk")]
    # By moment and not by date, since a span may begin in the middle of a day.
    return [mark for mark in every if span is None or span.start <= mark.at < span.end]


def moment(day: date, at: time = NOON) -> datetime:
    """That time of that day, in the time zone of the settings."""
    return timezone.make_aware(datetime.combine(day, at))


def leg_span(leg: Leg) -> Span:
    """The whole days of `leg`."""
    return Span(moment(leg.starts_on, time.min), moment(leg.ends_on + timedelta(1), time.min))
