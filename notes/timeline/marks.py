"""Marks on a line of time, and the spots they are drawn as. Pure: no Django, no queries.

A spot is one mark, or as many as lie too near to each other to be told apart by a thumb.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from typing import NamedTuple
from uuid import UUID


class MarkKind(StrEnum):
    """What a mark stands for, in the order of the lanes."""

    SHOW = "show"
    CHANGE = "change"
    NOTE = "note"
    TRIAL = "trial"
    SIGN_OFF = "sign-off"


RANKS = {kind: rank for rank, kind in enumerate(MarkKind)}


class Mark(NamedTuple):
    """One record at one moment, by its primary key; or `n` of them up to `until`, nearer to
    each other than any picture tells apart, of which `key` says nothing. A tuple, because there may
    be very many."""

    at: datetime
    key: int | UUID
    until: datetime | None = None
    n: int = 1

    @property
    def end(self) -> datetime:
        return self.until or self.at


@dataclass(frozen=True, slots=True)
class Span:
    """From `start` up to, not including, `end`."""

    start: datetime
    end: datetime

    @property
    def length(self) -> timedelta:
        return self.end - self.start

    def share(self, at: datetime) -> float:
        """How far along `at` lies, 0 to 1 within the span."""
        return min(max((at - self.start) / self.length, 0.0), 1.0)

    def meets(self, start: datetime, end: datetime) -> bool:
        return start < self.end and end > self.start


@dataclass(frozen=True, slots=True)
class Spot:
    """Marks of one kind drawn as one, `at` units down the picture."""

    kind: MarkKind
    marks: Sequence[Mark]
    at: float

    @property
    def first(self) -> Mark:
        return self.marks[0]

    @property
    def end(self) -> datetime:
        """The moment of the last record."""
        return self.marks[-1].end

    @property
    def count(self) -> int:
        return sum(mark.n for mark in self.marks)

    @property
    def is_one(self) -> bool:
        return self.count == 1


def span_of(moments: Iterable[datetime], margin: float = 0.03) -> Span | None:
    """Around all of `moments` with a little room on both sides; None where there is none."""
    times = list(moments)
    if not times:
        return None
    first, last = min(times), max(times)
    # Half a day at least, or records of one moment would make a span without length.
    room = max((last - first) * margin, timedelta(hours=12))
    return Span(first - room, last + room)


def spots(
    kind: MarkKind, marks: Iterable[Mark], span: Span, height: float, spacing: float
) -> list[Spot]:
    """`marks` of `kind` as spots along `height`, at least `spacing` units between any two.

    Each spot stands at the middle of its marks; whatever would come nearer than `spacing` to the
    one before joins it.
    """
    groups: list[list[Mark]] = []
    places: list[tuple[float, float]] = []  # of each spot's first and last mark
    for mark in sorted(marks, key=lambda m: m.at):
        at, end = (span.share(moment) * height for moment in (mark.at, mark.end))
        if places and at - _middle(places[-1]) < spacing:
            groups[-1].append(mark)
            places[-1] = (places[-1][0], end)
        else:
            groups.append([mark])
            places.append((at, end))
    return [Spot(kind, group, _middle(p)) for group, p in zip(groups, places, strict=True)]


def _middle(ends: tuple[float, float]) -> float:
    return (ends[0] + ends[1]) / 2
