"""Marking parts as read, and who has read what."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from core import clock
from core.models import Leg, User
from core.models.roles import Role
from notes.models import Acknowledgement
from tests.notes.handover.support import cells_of, legs, progress
from tests.support.pages import as_user, at
from tests.support.world import World, make_world

# The id of nothing; fixed, so that every process collects the same tests.
NOBODY = "5f0e1d52-0c0b-4f2a-9d8e-7b1a2c3d4e5f"


def _read(world: World, leg: Leg, user: User, player: Any = "") -> Any:
    url = at(world, "notes:acknowledge", leg.pk)
    return as_user(user).post(url, {"player": player})


@pytest.mark.parametrize("who", Role.values)
def test_every_member_may_say_that_they_have_read_a_section(world: World, who: str) -> None:
    autumn, _ = legs(world)
    user = world.people[who]
    response = _read(world, autumn, user, world.player.pk)
    assert response.headers["Location"].endswith(f"#player-{world.player.pk}")
    (read,) = Acknowledgement.objects.all()
    assert (read.user, read.player, read.handover.leg) == (user, world.player, autumn)


def test_without_a_player_it_is_the_general_part(world: World) -> None:
    autumn, _ = legs(world)
    _read(world, autumn, world.people["crew"])
    general, section = cells_of(autumn, world.people["crew"])
    assert general.is_read
    assert section.read is None


def test_reading_again_counts_once_with_the_last_time(world: World) -> None:
    autumn, _ = legs(world)
    _read(world, autumn, world.people["crew"])
    later = clock.now() + timedelta(days=2)
    with clock.set_to(later):
        _read(world, autumn, world.people["crew"])
    assert Acknowledgement.objects.get().at == later


def test_what_changed_after_reading_is_not_read(world: World) -> None:
    autumn, _ = legs(world)
    crew = world.people["crew"]
    _read(world, autumn, crew, world.player.pk)
    assert cells_of(autumn, crew)[1].is_read
    world.turn("3:00")
    assert cells_of(autumn, crew)[1].is_stale
    text = as_user(crew).get(at(world, "notes:handover", autumn.pk)).content.decode()
    assert "changed since you read it" in text


def test_what_was_read_is_what_the_page_said(world: World) -> None:
    """Somebody else turned a dial between the reading and the press."""
    autumn, _ = legs(world)
    crew = world.people["crew"]
    page = as_user(crew).get(at(world, "notes:handover", autumn.pk)).content.decode()
    form = page.split(f'value="{world.player.pk}"')[1]
    digest = form.split('name="digest" value="')[1].split('"')[0]
    world.turn("3:00")
    url = at(world, "notes:acknowledge", autumn.pk)
    as_user(crew).post(url, {"player": world.player.pk, "digest": digest})
    assert cells_of(autumn, crew)[1].is_stale
    world.turn("2:30")  # as it was read
    assert cells_of(autumn, crew)[1].is_read is False  # the change number is another
    refused = as_user(crew).post(url, {"player": "", "digest": "f" * 63})
    assert refused.status_code == 400


def test_the_table_has_a_row_for_each_member_and_a_cell_for_each_part(world: World) -> None:
    autumn, _ = legs(world)
    crew = world.people["crew"]
    _read(world, autumn, crew, world.player.pk)
    rows = {r.person.user: r.cells for r in progress(autumn).readers}
    assert set(rows) == set(world.people.values())
    assert [(c.part.title, c.is_read) for c in rows[crew]] == [
        ("General part", False),
        ("Ines Halloran", True),
    ]


@pytest.mark.parametrize("player", ["x", NOBODY])
def test_a_player_that_is_none_is_refused(world: World, player: Any) -> None:
    autumn, _ = legs(world)
    assert _read(world, autumn, world.people["crew"], player).status_code == 400
    assert _read(world, autumn, world.people["crew"], make_world().player.pk).status_code == 400
    assert not Acknowledgement.objects.exists()


def test_outsiders_read_nothing(world: World) -> None:
    autumn, _ = legs(world)
    assert _read(world, autumn, world.outsider).status_code == 404
    assert as_user(world.engineer).get(at(world, "notes:acknowledge", autumn.pk)).status_code == 405
