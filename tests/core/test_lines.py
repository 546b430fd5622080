"""Several players and several songs, written one a line."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.durations import format_duration
from core.forms.lines import read_song
from core.lines import read_each
from core.models import Song
from tests.support.pages import as_user, at
from tests.support.rig_pages import Page
from tests.support.world import World


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("Over the Ridge", {"title": "Over the Ridge"}),
        ("Over the Ridge, 4:05", {"title": "Over the Ridge", "length_s": "4:05"}),
        ("Over the Ridge 4:05", {"title": "Over the Ridge", "length_s": "4:05"}),
        ("Ridge\t4:05\t96 bpm", {"title": "Ridge", "length_s": "4:05", "tempo_bpm": "96"}),
        ("Ridge, 96.5 bpm, 4:05", {"title": "Ridge", "length_s": "4:05", "tempo_bpm": "96.5"}),
        ("3. Ridge (4:05)", {"title": "Ridge", "length_s": "4:05"}),
        ("03 - Ridge – 1:02:30", {"title": "Ridge", "length_s": "1:02:30"}),
        ("2) Rain, Rain, 3:00", {"title": "Rain, Rain", "length_s": "3:00"}),
        ("99 Floors", {"title": "99 Floors"}),
        ("Half past 4", {"title": "Half past 4"}),
        ("1999, 3:40", {"title": "1999", "length_s": "3:40"}),
        ("Slow-Down", {"title": "Slow-Down"}),
    ],
)
def test_a_song_is_read_as_it_stands_in_lists(line: str, said: dict[str, str]) -> None:
    assert read_song(line) == said


@given(
    title=st.from_regex(r"[A-Z][a-z]{1,9}( [a-z]{1,9}){0,3}", fullmatch=True),
    length=st.integers(60, 3599),
    place=st.integers(1, 99),
)
def test_title_and_length_come_back(title: str, length: int, place: int) -> None:
    said = read_song(f"{place}. {title}, {format_duration(length)}")
    assert said == {"title": title, "length_s": format_duration(length)}


def test_all_lines_that_cannot_be_read_are_told_at_once() -> None:
    with pytest.raises(ValueError, match="Line 1: .*\nLine 3: “b” stands there twice.") as caught:
        read_each("x\nb\nB\n", _no_x, name_of=str.lower, most=9, things="letters")
    assert "Line 2" not in str(caught.value)
    with pytest.raises(ValueError, match="“b” is there already"):
        read_each("b", _no_x, name_of=str, most=9, things="letters", known=["B"])
    with pytest.raises(ValueError, match="More than 1 letters at once"):
        read_each("a\nb", _no_x, name_of=str, most=1, things="letters")


def _no_x(line: str) -> str:
    if line == "x":
        raise ValueError("That is an x.")
    return line


def songs(world: World) -> Page:
    return Page(as_user(world.tech), at(world, "core:songs_several"))


def test_songs_are_added_behind_those_that_are_there(world: World) -> None:
    Song.objects.create(production=world.production, title="Old One", position=7)
    sent = songs(world).send(lines="1. Over the Ridge, 4:05\n\n2. Slow Ferry 3:20, 72 bpm\n")
    assert sent.response.headers["Location"] == at(world, "core:songs")
    found = list(world.production.songs.values_list("title", "length_s", "tempo_bpm", "position"))
    assert found[1:] == [("Over the Ridge", 245, None, 8), ("Slow Ferry", 200, 72, 9)]


def test_nothing_is_added_where_a_line_is_wrong_and_all_stays_typed(world: World) -> None:
    Song.objects.create(production=world.production, title="Old One")
    html = songs(world).send(lines="New One, 4:05\nold one\nFast, 999 bpm").html
    assert "Line 2: “old one” is there already." in html
    assert "Line 3: Tempo, beats per minute:" in html
    assert "New One, 4:05" in html
    assert world.production.songs.count() == 1


def test_players_are_added_in_the_order_of_their_lines(world: World) -> None:
    page = Page(as_user(world.tech), at(world, "core:players_several"))
    html = page.send(lines="Tam Okoro").html
    assert "Line 1: Say the instrument behind a comma." in html
    sent = page.send(lines="Tam Okoro, guitar\nNel Varga , drums, bells")
    assert sent.response.headers["Location"] == at(world, "core:players")
    found = list(world.production.players.values_list("name", "instrument"))
    assert found[1:] == [("Tam Okoro", "guitar"), ("Nel Varga", "drums, bells")]
    places = list(world.production.players.values_list("position", flat=True))
    assert places == sorted(set(places))


def test_who_may_not_edit_the_tour_may_not_add_lists(world: World) -> None:
    for name in ("core:songs_several", "core:players_several"):
        assert as_user(world.people["crew"]).get(at(world, name)).status_code == 403
