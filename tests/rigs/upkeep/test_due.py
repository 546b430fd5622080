"""By which show a thing must be changed.

Expected values are counted by hand on a calendar, or by playing the shows one after another and
counting how many the thing has played: a second way to the same answer.
"""

from __future__ import annotations

from datetime import date, timedelta
from uuid import UUID

from hypothesis import given
from hypothesis import strategies as st

from rigs.models.due import Due, DueState, Last, Per, ShowDay, changes_ahead, next_due


def show(number: int, day: date) -> ShowDay:
    return ShowDay(UUID(int=number), day)


# The days of a short leg: 14, 18 and 26 September, 10 October 2026.
SHOWS = [
    show(n, day)
    for n, day in enumerate(
        (date(2026, 9, 14), date(2026, 9, 18), date(2026, 9, 26), date(2026, 10, 10))
    )
]


def test_strings_of_two_shows_put_on_for_the_first_are_due_at_the_third() -> None:
    found = next_due(2, Per.SHOWS, Last(date(2026, 9, 14)), SHOWS, date(2026, 9, 15))
    assert found == Due(DueState.LATER, SHOWS[2])


def test_what_is_changed_for_every_show_is_due_at_the_very_next() -> None:
    found = next_due(1, Per.SHOWS, Last(date(2026, 9, 14)), SHOWS, date(2026, 9, 15))
    assert found == Due(DueState.DUE, SHOWS[1])


def test_it_becomes_overdue_by_the_shows_it_played_too_long() -> None:
    found = next_due(1, Per.SHOWS, Last(date(2026, 9, 14)), SHOWS, date(2026, 9, 27))
    assert found == Due(DueState.OVERDUE, SHOWS[1], over=2)


def test_a_show_of_today_is_still_to_come() -> None:
    found = next_due(1, Per.SHOWS, Last(date(2026, 9, 14)), SHOWS, date(2026, 9, 18))
    assert found.state is DueState.DUE


def test_done_after_a_show_for_the_next_it_has_not_played_the_first() -> None:
    last = Last(date(2026, 9, 14), SHOWS[1].id)
    assert next_due(1, Per.SHOWS, last, SHOWS, date(2026, 9, 15)).show == SHOWS[2]


def test_a_show_that_was_put_away_leaves_its_day() -> None:
    last = Last(date(2026, 9, 15), UUID(int=99))
    assert next_due(1, Per.SHOWS, last, SHOWS, date(2026, 9, 15)).show == SHOWS[2]


def test_days_count_from_the_day_it_was_done() -> None:
    # 14 September and 12 days are 26 September.
    on_the_day = next_due(12, Per.DAYS, Last(date(2026, 9, 14)), SHOWS, date(2026, 9, 15))
    a_day_more = next_due(13, Per.DAYS, Last(date(2026, 9, 14)), SHOWS, date(2026, 9, 15))
    assert (on_the_day.show, a_day_more.show) == (SHOWS[2], SHOWS[3])


def test_beyond_what_is_planned() -> None:
    found = next_due(4, Per.SHOWS, Last(date(2026, 9, 14)), SHOWS, date(2026, 9, 15))
    assert found == Due(DueState.BEYOND)
    assert next_due(99, Per.DAYS, Last(date(2026, 9, 14)), SHOWS, date(2026, 9, 15)) == found


def test_what_nobody_noted_is_said_and_not_guessed() -> None:
    assert next_due(4, Per.SHOWS, None, SHOWS, date(2026, 9, 15)) == Due(DueState.NEVER)


def test_without_an_interval_it_is_changed_when_worn() -> None:
    assert next_due(None, Per.HAND, Last(date(2026, 9, 14)), SHOWS, date.max) == Due(DueState.HAND)


def ahead(count: int | None, per: Per, last: date | None, today: date) -> int | None:
    return changes_ahead(count, per, Last(last) if last else None, SHOWS, today)


def test_changes_for_the_shows_that_are_left_are_counted_on_the_calendar() -> None:
    first, day_after = date(2026, 9, 14), date(2026, 9, 15)
    # For every show: 18 and 26 September, 10 October.
    assert ahead(1, Per.SHOWS, first, day_after) == 3
    # For every second: 26 September, and then not before the fifth show.
    assert ahead(2, Per.SHOWS, first, day_after) == 1
    # 12 days from the 14th are the 26th; 12 more are 8 October, so before the 10th.
    assert ahead(12, Per.DAYS, first, day_after) == 2
    # Overdue since the 18th: before 10 October, once.
    assert ahead(1, Per.SHOWS, first, date(2026, 9, 27)) == 1
    assert ahead(4, Per.SHOWS, first, day_after) == 0
    assert ahead(1, Per.SHOWS, first, date(2026, 10, 11)) == 0


def test_changes_that_cannot_be_told_are_not() -> None:
    assert ahead(1, Per.SHOWS, None, date(2026, 9, 15)) is None
    assert ahead(None, Per.HAND, date(2026, 9, 14), date(2026, 9, 15)) is None


DAYS = st.dates(date(2026, 1, 1), date(2027, 12, 31))
TOURS = st.lists(DAYS, max_size=40, unique=True).map(
    lambda days: [show(n, day) for n, day in enumerate(sorted(days))]
)


@given(TOURS, DAYS, st.integers(1, 30), st.sampled_from([Per.SHOWS, Per.DAYS]), DAYS)
def test_it_is_never_due_before_it_was_done(
    shows: list[ShowDay], done: date, count: int, per: Per, today: date
) -> None:
    found = next_due(count, per, Last(done), shows, today)
    assert found.show is None or found.show.day >= done
    assert found.waits == (
        found.show is not None and not any(today <= other.day < found.show.day for other in shows)
    )


@given(TOURS, DAYS, st.integers(1, 30))
def test_playing_the_shows_one_by_one_says_the_same(
    shows: list[ShowDay], done: date, count: int
) -> None:
    played, expected = 0, None
    for each in shows:
        if each.day >= done:
            if played == count:
                expected = each
                break
            played += 1
    assert next_due(count, Per.SHOWS, Last(done), shows, done).show == expected


@given(TOURS, DAYS, st.integers(1, 30), st.integers(1, 400))
def test_a_later_change_is_never_due_earlier(
    shows: list[ShowDay], done: date, count: int, days: int
) -> None:
    earlier = next_due(count, Per.DAYS, Last(done), shows, done).show
    later = next_due(count, Per.DAYS, Last(done + timedelta(days=days)), shows, done).show
    assert later is None or (earlier is not None and later.day >= earlier.day)


@given(TOURS, DAYS, st.integers(1, 30), st.sampled_from([Per.SHOWS, Per.DAYS]), DAYS)
def test_playing_the_shows_and_changing_when_due_takes_as_many(
    shows: list[ShowDay], done: date, count: int, per: Per, today: date
) -> None:
    last, changes = Last(done), 0
    for each in shows:
        if each.day >= today and next_due(count, per, last, shows, each.day).waits:
            last, changes = Last(each.day, each.id), changes + 1
    assert changes_ahead(count, per, Last(done), shows, today) == changes
