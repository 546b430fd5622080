"""Things in an order: one step up or down, by plain buttons."""

from __future__ import annotations

from typing import Any, Literal
from uuid import uuid4

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from core.models import Player, Section, Song
from core.services.ordering import move, next_position
from tests.support.pages import as_user, at
from tests.support.world import World

STEP = st.tuples(st.integers(0, 4), st.sampled_from(["up", "down"]))


@pytest.fixture
def song(world: World) -> Song:
    song = Song.objects.create(production=world.production, title="Lantern at Ulmsey", position=1)
    for position, name in enumerate(["verse", "chorus", "bridge"], start=1):
        Section.objects.create(song=song, name=name, position=position)
    return song


def names(song: Song) -> list[str]:
    return [section.name for section in song.sections.all()]


def post(world: World, song: Song, section: Any, direction: str, role: str = "tech") -> Any:
    url = at(world, "core:sections_order", song.pk)
    data = {"section": section, "direction": direction}
    return as_user(world.people[role]).post(url, data)


def test_up_and_down(world: World, song: Song) -> None:
    bridge = song.sections.get(name="bridge").pk
    assert post(world, song, bridge, "up").headers["Location"] == song.get_absolute_url()
    assert names(song) == ["verse", "bridge", "chorus"]
    post(world, song, bridge, "down")
    assert names(song) == ["verse", "chorus", "bridge"]


def test_at_an_end_nothing_happens(world: World, song: Song) -> None:
    post(world, song, song.sections.get(name="verse").pk, "up")
    post(world, song, song.sections.get(name="bridge").pk, "down")
    assert names(song) == ["verse", "chorus", "bridge"]


def test_the_retired_do_not_stand_in_the_way(world: World, song: Song) -> None:
    song.sections.get(name="chorus").retire()
    post(world, song, song.sections.get(name="bridge").pk, "up")
    live = [s.name for s in song.sections.filter(retired_at=None)]
    assert live == ["bridge", "verse"]


def test_bad_ids_and_roles(world: World, song: Song) -> None:
    assert post(world, song, "third", "up").status_code == 400
    assert post(world, song, uuid4(), "up").status_code == 404
    first = song.sections.get(name="verse").pk
    assert post(world, song, first, "down", role="crew").status_code == 403
    assert names(song) == ["verse", "chorus", "bridge"]


def test_players_and_songs_alike(world: World, song: Song) -> None:
    other = Song.objects.create(production=world.production, title="Early Bus", position=2)
    client = as_user(world.people["manager"])
    client.post(at(world, "core:songs_order"), {"song": other.pk, "direction": "up"})
    assert list(world.production.songs.all()) == [other, song]
    nel = Player.objects.create(production=world.production, name="A", instrument="b", position=5)
    client.post(at(world, "core:players_order"), {"player": nel.pk, "direction": "up"})
    assert list(world.production.players.all()) == [nel, world.player]


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=25)
@given(steps=st.lists(STEP, max_size=8))
def test_moves_lose_nobody(world: World, steps: list[tuple[int, Literal["up", "down"]]]) -> None:
    Player.objects.exclude(pk=world.player.pk).delete()
    for name in "abcd":
        Player.objects.create(production=world.production, name=name, instrument="x")
    among = world.production.players.all()
    expected = list(among)
    for index, direction in steps:
        item = expected[index]
        to = max(0, min(4, index + (-1 if direction == "up" else 1)))
        expected[index], expected[to] = expected[to], expected[index]
        move(among=world.production.players.all(), item=item, direction=direction)
    assert list(world.production.players.all()) == expected
    if steps:
        assert sorted(p.position for p in world.production.players.all()) == [1, 2, 3, 4, 5]


def test_next_position(world: World, song: Song) -> None:
    assert next_position(song.sections.all()) == 4
    assert next_position(Song.objects.none()) == 1
