"""Marks become spots: none is lost, none too near the next; ticks follow the calendar."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from notes.timeline.drawing import draw
from notes.timeline.marks import Mark, MarkKind, Span, span_of, spots
from notes.timeline.ticks import ticks

START = datetime(2026, 9, 1, tzinfo=UTC)
SPAN = Span(START, START + timedelta(days=100))
moments = st.lists(
    st.integers(0, 100 * 86400 - 1).map(lambda s: START + timedelta(seconds=s)), max_size=60
)


@given(moments)
def test_every_mark_is_in_one_spot_and_spots_keep_apart(found: list[datetime]) -> None:
    marks = [Mark(at, key) for key, at in enumerate(found)]
    drawn = spots(MarkKind.CHANGE, marks, SPAN, 700, 44)
    assert sorted(mark for spot in drawn for mark in spot.marks) == sorted(marks)
    assert all(b.at - a.at >= 44 - 1e-9 for a, b in pairwise(drawn))
    assert all(a.end <= b.first.at for a, b in pairwise(drawn))
    assert all(0 <= spot.at <= 700 for spot in drawn)


def test_a_mark_alone_stands_where_its_time_is() -> None:
    (spot,) = spots(MarkKind.NOTE, [Mark(START + timedelta(days=25), 1)], SPAN, 700, 44)
    assert spot.is_one
    assert spot.at == 175


@given(moments)
def test_the_span_holds_every_moment_with_room(found: list[datetime]) -> None:
    span = span_of(found)
    if not found:
        assert span is None
        return
    assert span is not None
    assert all(span.start < at < span.end for at in found)


def words(days: float) -> list[str]:
    return [tick.words for tick in ticks(Span(START, START + timedelta(days=days)))]


def test_ticks_follow_the_calendar() -> None:
    # 1 September 2026 is a Tuesday (Gregorian calendar); the first Monday is the 7th.
    assert words(4) == ["1 Sep", "2 Sep", "3 Sep", "4 Sep"]
    assert words(30) == ["7 Sep", "14 Sep", "21 Sep", "28 Sep"]
    assert words(100) == ["Sep 2026", "Oct 2026", "Nov 2026", "Dec 2026"]
    assert words(200)[:3] == ["Sep 2026", "Oct 2026", "Nov 2026"]
    assert words(0.4)[:3] == ["00:00", "01:00", "02:00"]


@pytest.mark.parametrize("hours", [10, 40, 200, 900, 4000, 20_000])
def test_what_is_written_beside_a_rule_has_room_there(hours: int) -> None:
    """The margin is 56 units wide; a letter or figure of 11.5 units takes at most two thirds of
    that (common practice, no source)."""
    drawn = draw(Span(START, START + timedelta(hours=hours)), [], [], title="A line of time")
    said = re.findall(r'class="timeline-date"[^>]*>([^<]*)<', drawn)
    assert said
    assert all(len(each) * 11.5 * 2 / 3 <= 64 for each in said), said
    if hours == 40:
        assert said[:4] == ["1 Sep", "00:00", "1 Sep", "06:00"]


@given(st.integers(2, 40 * 365 * 24).map(lambda hours: timedelta(hours=hours)))
def test_ticks_are_few_in_order_and_inside(length: timedelta) -> None:
    span = Span(START, START + length)
    found = ticks(span)
    assert len(found) <= 16
    assert all(span.start <= tick.at < span.end for tick in found)
    assert all(a.at < b.at for a, b in pairwise(found))
