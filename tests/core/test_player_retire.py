"""Retire a player, and bring one back."""

from __future__ import annotations

from tests.support.pages import as_user, at, says
from tests.support.world import World, make_world


def test_there_and_back(world: World) -> None:
    client, url = as_user(world.tech), at(world, "core:player_retire", world.player.pk)
    response = client.post(url, follow=True)
    assert says(response) == ["“Ines Halloran” is retired. What was written about it stays."]
    world.player.refresh_from_db()
    assert world.player.is_retired
    response = client.post(url, {"back": "1"}, follow=True)
    assert says(response) == ["“Ines Halloran” is back in use."]
    world.player.refresh_from_db()
    assert not world.player.is_retired


def test_the_rig_stays(world: World) -> None:
    as_user(world.tech).post(at(world, "core:player_retire", world.player.pk))
    world.rig.refresh_from_db()
    assert world.rig.player_id == world.player.pk


def test_who_may(world: World) -> None:
    url = at(world, "core:player_retire", world.player.pk)
    assert as_user(world.people["crew"]).post(url).status_code == 403
    assert as_user(world.outsider).post(url).status_code == 404
    assert as_user(world.tech).get(url).status_code == 405
    foreign = at(world, "core:player_retire", make_world("Elsewhere").player.pk)
    assert as_user(world.tech).post(foreign).status_code == 404
