"""The set of a show: its own, else the songs of the production; numbers, gaps and lengths."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from django.db import IntegrityError, transaction
from pytest_django import DjangoAssertNumQueries

from core.models import Leg, SetEntry, Show, ShowSet, Song
from core.sets.order import SetLine, numbered, set_of_production, set_of_show, sets_of_shows
from tests.support.world import World

Kind = SetEntry.Kind


@pytest.fixture
def leg(world: World) -> Leg:
    place = world.production
    for at, title in enumerate(("Early Bus", "Salt Road", "Kettle Hymn"), start=1):
        Song.objects.create(production=place, title=title, position=at, length_s=200, gap_s=20)
    dates = {"starts_on": date(2026, 9, 1), "ends_on": date(2026, 9, 30)}
    return Leg.objects.create(production=place, name="Coast", **dates)


def show_on(leg: Leg, day: int) -> Show:
    return Show.objects.create(leg=leg, held_on=date(2026, 9, day), room=f"Room {day}")


def own_set(show: Show, *titles: str, **more: Any) -> ShowSet:
    own = ShowSet.objects.create(show=show, version=1, **more)
    for at, title in enumerate(titles, start=1):
        song = Song.objects.get(title=title)
        SetEntry.objects.create(set=own, song=song, position=at)
    return own


def titles(lines: Any) -> list[str]:
    return [line.name for line in lines]


def test_a_show_without_a_set_plays_the_songs_of_the_production(leg: Leg) -> None:
    Song.objects.create(production=leg.production, title="Retired", retired_at="2026-01-01T00:00Z")
    found = set_of_show(show_on(leg, 1))
    assert titles(found.played) == ["Early Bus", "Salt Road", "Kettle Hymn"]
    assert not found.is_own
    assert found.over_s is None
    assert titles(set_of_production(leg.production).played) == titles(found.played)


def test_the_lines_of_a_set_that_is_not_written_keep_their_ids(leg: Leg) -> None:
    show = show_on(leg, 1)
    first, again = (set_of_show(show).lines for _ in range(2))
    assert [line.id for line in first] == [line.id for line in again]


def test_each_show_has_its_own(leg: Leg) -> None:
    one, other = show_on(leg, 1), show_on(leg, 2)
    own_set(one, "Kettle Hymn", "Early Bus")
    found = sets_of_shows([one, other])
    assert titles(found[one.pk].played) == ["Kettle Hymn", "Early Bus"]
    assert titles(found[other.pk].played) == ["Early Bus", "Salt Road", "Kettle Hymn"]


def test_an_emptied_set_stays_empty(leg: Leg) -> None:
    show = show_on(leg, 1)
    ShowSet.objects.create(show=show, version=4)
    assert set_of_show(show).lines == ()


def test_queries_do_not_grow_with_shows(
    leg: Leg, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    shows = [show_on(leg, day) for day in range(1, 9)]
    for show in shows[:6]:
        own_set(show, "Early Bus", "Salt Road")
    read = Show.objects.filter(leg=leg).select_related("leg").order_by("held_on")
    with django_assert_num_queries(1 + 3):
        sets_of_shows(list(read))
    with django_assert_num_queries(1 + 2):
        sets_of_shows(list(read.select_related("own_set")))
    with django_assert_num_queries(1 + 2):
        set_of_show(read.get(pk=shows[0].pk))


def song(title: str, length: int | None = 180, gap: int | None = 30, **more: Any) -> SetLine:
    made = Song(title=title, length_s=length, gap_s=gap)
    return SetLine(made.pk, Kind.SONG, made, **more)


def line(kind: str, length: int | None = None) -> SetLine:
    return SetLine(Song().pk, kind, title=kind, length_s=length)


def gaps(*lines: SetLine) -> list[int | None]:
    return [each.gap_s for each in numbered(lines) if each.is_played]


def test_a_cut_has_no_number_and_takes_no_time(leg: Leg) -> None:
    show = show_on(leg, 1)
    own = own_set(show, "Early Bus", "Salt Road", "Kettle Hymn", target_s=400)
    assert set_of_show(show).seconds == 3 * 200 + 2 * 20
    own.entries.filter(position=2).update(cut=True)
    found = set_of_show(show)
    assert [each.number for each in found.lines] == [1, None, 2]
    assert found.seconds == 2 * 200 + 20
    assert found.over_s == 20
    assert found.is_whole


def test_a_length_of_the_show_takes_the_place_of_that_of_the_song(leg: Leg) -> None:
    show = show_on(leg, 1)
    own = own_set(show, "Early Bus")
    own.entries.update(length_s=95)
    assert set_of_show(show).seconds == 95


def test_what_is_not_known_is_said(leg: Leg) -> None:
    show = show_on(leg, 1)
    own_set(show, "Early Bus", "Salt Road", target_s=600)
    Song.objects.filter(title="Salt Road").update(length_s=None)
    found = set_of_show(show)
    assert (found.seconds, found.is_whole) == (220, False)


def test_a_medley_goes_straight_on() -> None:
    assert gaps(song("A"), song("B", joined=True), song("C")) == [0, 30, 30]


def test_a_break_gives_time_and_words_do_too() -> None:
    assert gaps(song("A"), line(Kind.BREAK, 900), song("B"))[0] == 930
    assert gaps(song("A", gap=None), line(Kind.BREAK, 900), song("B"))[0] == 900
    assert gaps(song("A"), line(Kind.BREAK), song("B"))[0] is None
    assert gaps(song("A"), line(Kind.NOTE, 60), song("B"))[0] == 90
    assert gaps(song("A", gap=None), line(Kind.NOTE, 60), song("B"))[0] is None
    assert gaps(song("A"), line(Kind.ENCORE), song("B"))[0] == 30


def test_a_song_after_a_break_is_not_straight_on() -> None:
    assert gaps(song("A"), line(Kind.BREAK, 900), song("B", joined=True))[0] == 930


def test_a_cut_between_does_not_break_a_medley() -> None:
    assert gaps(song("A"), song("B", joined=True, cut=True), song("C", joined=True)) == [0, 30]


def test_a_line_names_a_song_or_words_and_not_both(leg: Leg) -> None:
    own = own_set(show_on(leg, 1))
    for bad in ({"kind": Kind.SONG}, {"kind": Kind.BREAK, "song": Song.objects.all()[0]}):
        with pytest.raises(IntegrityError), transaction.atomic():
            SetEntry.objects.create(set=own, **bad)
