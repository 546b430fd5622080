"""The rules across a line of time, and what is written at each. Pure."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from math import ceil

from core.languages import dates
from notes.timeline.marks import Span

DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Tick:
    at: datetime
    words: str


def ticks(span: Span, most: int = 14) -> list[Tick]:
    """At most about `most` rules: years, months, weeks, days or hours, whichever fits.

    The span's ends are in the time zone that the words are to be in.
    """
    for step in _STEPS:
        if span.length / step.length <= most:
            return list(step.within(span))
    return list(_Years(ceil(span.length / (365 * DAY) / most)).within(span))


@dataclass(frozen=True, slots=True)
class _Even:
    """Every so many hours or days, counted from a midnight; weeks from a Monday."""

    length: timedelta
    label: Callable[[datetime], str]

    def within(self, span: Span) -> Iterator[Tick]:
        at = span.start.replace(hour=0, minute=0, second=0, microsecond=0)
        if self.length == 7 * DAY:
            at -= DAY * at.weekday()
        while at < span.end:
            if at >= span.start:
                yield Tick(at, self.label(at))
            # On the wall clock, so that rules stay at midnight across a change to summer time.
            at += self.length


@dataclass(frozen=True, slots=True)
class _Months:
    every: int

    @property
    def length(self) -> timedelta:
        return self.every * 30 * DAY

    def within(self, span: Span) -> Iterator[Tick]:
        year, month = span.start.year, 1
        while True:
            at = _first_of(span, year, month)
            if at >= span.end:
                return
            if at >= span.start:
                yield Tick(at, dates.month(at.date()))
            # Counted from each January, so that quarters begin in the same months every year.
            year, month = (year, month + self.every) if month + self.every < 13 else (year + 1, 1)


@dataclass(frozen=True, slots=True)
class _Years:
    every: int

    def within(self, span: Span) -> Iterator[Tick]:
        for year in range(span.start.year, span.end.year + 1):
            at = _first_of(span, year, 1)
            # Years that the step divides, whichever year the span begins with.
            if year % self.every == 0 and span.start <= at < span.end:
                yield Tick(at, str(year))


def _hour(at: datetime) -> str:
    return f"{at:%H:%M}"


def _day(at: datetime) -> str:
    # The day where the span is, whichever zone a page is shown in.
    return dates.short_day(at.date())


_STEPS = (
    _Even(timedelta(hours=1), _hour),
    _Even(timedelta(hours=6), lambda at: f"{_day(at)} {_hour(at)}"),
    _Even(DAY, _day),
    _Even(7 * DAY, _day),
    _Months(1),
    _Months(3),
)


def _first_of(span: Span, year: int, month: int) -> datetime:
    return span.start.replace(
        year=year, month=month, day=1, hour=0, minute=0, second=0, microsecond=0
    )
