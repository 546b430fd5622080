"""When everything of a production, or of one rig, happened. One query for each kind of record.

However many records there are, a picture has room for few: the database puts those together that
stand at one place of it, and a page reads no more of them than the picture has places.
"""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from typing import Any

from django.db.models import (
    BigIntegerField,
    CharField,
    Count,
    F,
    FloatField,
    Func,
    Max,
    Min,
    Q,
    QuerySet,
    UUIDField,
    Value,
)
from django.db.models.functions import Cast, Coalesce
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


def ends(production: Production, rig: Rig | None = None) -> list[datetime]:
    """The first and the last moment of each kind. Two queries."""
    shows = [mark.at for mark in shows_within(records(MarkKind.SHOW, production, rig), None)]
    first, *others = (
        records(kind, production, rig)
        .order_by()
        .annotate(of=Value(str(kind)))
        .values("of")  # so that all of them are one group
        .annotate(lowest=Min(field), highest=Max(field))
        .values_list("lowest", "highest")
        for kind, field in MOMENTS.items()
    )
    return [*shows, *(at for both in first.union(*others, all=True) for at in both if at)]


def marks(
    production: Production, rig: Rig | None, span: Span, places: float
) -> dict[MarkKind, list[Mark]]:
    """Every record within `span` as a mark, or several as one where they share one of so many
    places along it; in no particular order."""
    return {kind: _marks(kind, records(kind, production, rig), span, places) for kind in MarkKind}


def _marks(kind: MarkKind, rows: QuerySet[Any], span: Span, places: float) -> list[Mark]:
    if kind is MarkKind.SHOW:
        return shows_within(rows, span)
    field, start = MOMENTS[kind], span.start.timestamp()
    wide = span.length.total_seconds() / places
    place = Cast((_Seconds(F(field)) - start) / wide, BigIntegerField())
    found = within(rows, field, span).order_by().annotate(place=place).values("place")
    pk = rows.model._meta.pk
    # PostgreSQL has no order of UUIDs to take the least by.
    key = Min(Cast("pk", CharField()) if isinstance(pk, UUIDField) else "pk")
    told = found.annotate(key=key, first=Min(field), last=Max(field), n=Count("pk"))
    return [
        Mark(first, pk.to_python(key) if n == 1 else 0, last, n)
        for key, first, last, n in told.values_list("key", "first", "last", "n")
    ]


class _Seconds(Func):
    """A moment in seconds since 1970."""

    output_field = FloatField()
    template = "EXTRACT(EPOCH FROM %(expressions)s)::double precision"

    def as_sqlite(self, compiler: Any, connection: Any, **more: Any) -> Any:
        days = "((julianday(%(expressions)s) - 2440587.5) * 86400.0)"  # of 1970-01-01
        return self.as_sql(compiler, connection, template=days, **more)


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
