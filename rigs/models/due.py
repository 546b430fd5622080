"""By which show something that wears must have been changed. Pure.

A thing that was changed for a show plays that show first. One that lasts n shows has done its duty
after n of them, and must be changed before the next. One that lasts n days must be changed before
the first show that is n days or more after it was done.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from typing import NamedTuple
from uuid import UUID


class Per(StrEnum):
    """What an interval counts."""

    HAND = ""  # when somebody finds it worn
    SHOWS = "shows"
    DAYS = "days"


class ShowDay(NamedTuple):
    """A show: its id and its day, which is all that is needed here."""

    id: UUID
    day: date


class Last(NamedTuple):
    """The day of the last change, and the show that it was made for, if any."""

    day: date
    show: UUID | None = None


class DueState(StrEnum):
    """When a thing is due, in the order in which a page shows it."""

    OVERDUE = "overdue"  # it has played at least one show more than it should
    DUE = "due"  # before the next show
    NEVER = "never"  # nobody has noted when it was done
    LATER = "later"  # at a show that is planned
    BEYOND = "beyond"  # after the last show that is planned
    HAND = "hand"  # changed when worn


@dataclass(frozen=True, slots=True)
class Due:
    """The show before which it must be done, and how many shows it has played beyond that."""

    state: DueState
    show: ShowDay | None = None
    over: int = 0

    @property
    def waits(self) -> bool:
        """Whether something has to be done before the next show."""
        return self.state in (DueState.OVERDUE, DueState.DUE)


def next_due(
    count: int | None, per: Per, last: Last | None, shows: Sequence[ShowDay], today: date
) -> Due:
    """When something that wears must be changed next, counting `count` in units of `per`.

    `shows` are in the order in which they are played, those already played among them. Today's show
    counts as still to come.
    """
    if per is Per.HAND or not count:
        return Due(DueState.HAND)
    if last is None:
        return Due(DueState.NEVER)
    at = _at(count, per, last, shows)
    if at is None:
        return Due(DueState.BEYOND)
    # Today counts as coming: what is changed this afternoon still serves tonight.
    coming = next((n for n, show in enumerate(shows) if show.day >= today), len(shows))
    if at < coming:
        return Due(DueState.OVERDUE, shows[at], coming - at)
    return Due(DueState.DUE if at == coming else DueState.LATER, shows[at])


def changes_ahead(
    count: int | None, per: Per, last: Last | None, shows: Sequence[ShowDay], today: date
) -> int | None:
    """How often it must be changed for the shows still to come, each time as late as may be.

    None where that cannot be told: it has no interval, or nobody has noted when it was done.
    """
    if per is Per.HAND or not count or last is None:
        return None
    coming = next((n for n, show in enumerate(shows) if show.day >= today), len(shows))
    changes, at = 0, _at(count, per, last, shows)
    while at is not None and coming < len(shows):
        at = max(at, coming)  # what is overdue is changed before the next show
        changes += 1
        at = _at(count, per, Last(shows[at].day, shows[at].id), shows)
    return changes


def _at(count: int, per: Per, last: Last, shows: Sequence[ShowDay]) -> int | None:
    """The index of the show it must be done before; None where none is planned so late."""
    first = _first_played(last, shows)
    if per is Per.SHOWS:
        at = first + count
        # Index `first` is the first show played, so index first + count is the first one too many.
        return at if at < len(shows) else None
    by = _days_after(last.day, count)
    late = (n for n in range(first, len(shows)) if shows[n].day >= by)
    return next(late, None)


def _first_played(last: Last, shows: Sequence[ShowDay]) -> int:
    """The first show it plays since it was done: that one itself, where it was done for a show."""
    for n, show in enumerate(shows):
        if show.id == last.show or (show.day >= last.day and last.show is None):
            return n
    if last.show is None:
        return len(shows)
    # The show it was done for is no longer in the list: its day is.
    return next((n for n, show in enumerate(shows) if show.day >= last.day), len(shows))


def _days_after(day: date, days: int) -> date:
    try:
        return day + timedelta(days=days)
    except OverflowError:
        # So many days lead beyond the calendar: no show is that late.
        return date.max
