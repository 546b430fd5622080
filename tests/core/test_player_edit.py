"""Add and edit players."""

from __future__ import annotations

from uuid import uuid4

import pytest

from core.forms.base import EditForm
from core.models import Player
from tests.support.pages import as_user, at, says
from tests.support.world import World, make_world

NEL = {"name": "Nel Varga", "instrument": "organ"}


def test_a_new_player_comes_last(world: World) -> None:
    response = as_user(world.people["manager"]).post(at(world, "core:player_new"), NEL, follow=True)
    assert says(response) == ["Nel Varga is saved."]
    assert [p.name for p in world.production.players.all()] == ["Ines Halloran", "Nel Varga"]


def test_edit(world: World) -> None:
    url = at(world, "core:player_edit", world.player.pk)
    response = as_user(world.tech).post(url, {**NEL, "version": 1})
    assert response.headers["Location"] == at(world, "core:players")
    world.player.refresh_from_db()
    assert (world.player.name, world.player.version) == ("Nel Varga", 2)


def test_edit_of_an_older_state_is_held_back(world: World) -> None:
    Player.objects.filter(pk=world.player.pk).update(version=2, instrument="upright bass")
    url = at(world, "core:player_edit", world.player.pk)
    response = as_user(world.tech).post(url, {**NEL, "version": 1})
    assert response.status_code == 200
    assert response.context["form"].errors["__all__"] == [EditForm.stale_message]
    assert "Now there: upright bass" in response.content.decode()
    assert 'value="Nel Varga"' in response.content.decode()


def test_invalid_keeps_what_was_typed(world: World) -> None:
    response = as_user(world.tech).post(at(world, "core:player_new"), {"name": "Nel Varga"})
    assert response.context["form"].errors == {"instrument": ["This field is required."]}
    assert 'value="Nel Varga"' in response.content.decode()
    assert world.production.players.count() == 1


@pytest.mark.parametrize("role", ["player", "crew"])
def test_who_may_not(world: World, role: str) -> None:
    client = as_user(world.people[role])
    assert client.post(at(world, "core:player_new"), NEL).status_code == 403
    url = at(world, "core:player_edit", world.player.pk)
    assert client.post(url, {**NEL, "version": 1}).status_code == 403


def test_strangers_and_bad_ids(world: World) -> None:
    foreign = make_world("Elsewhere").player
    for pk in (foreign.pk, uuid4()):
        assert as_user(world.tech).get(at(world, "core:player_edit", pk)).status_code == 404
    url = at(world, "core:player_edit", world.player.pk)
    assert as_user(world.outsider).get(url).status_code == 404
