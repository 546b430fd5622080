"""The list of players: in order, with the retired ones apart."""

from __future__ import annotations

from typing import Any

import pytest

from core.models import Player
from tests.support.pages import as_user, at
from tests.support.world import World


def page(world: World, role: str = "engineer") -> Any:
    return as_user(world.people[role]).get(at(world, "core:players"))


def add(world: World, *names: str) -> list[Player]:
    return [
        Player.objects.create(production=world.production, name=n, instrument="organ", position=p)
        for p, n in enumerate(names, start=1)
    ]


def test_in_order_and_the_retired_apart(world: World) -> None:
    _, away, _ = add(world, "Zed", "Mo", "Abe")
    away.retire()
    context = page(world).context
    assert [p.name for p in context["players"]] == ["Ines Halloran", "Zed", "Abe"]
    assert context["retired"] == [away]


def test_crew_read_only(world: World) -> None:
    content = page(world, "crew").content.decode()
    assert "Ines Halloran" in content
    for name in ("core:player_new", "core:players_order"):
        assert at(world, name) not in content


def test_nobody_yet(world: World) -> None:
    world.player.retire()
    assert "Add the players" in page(world).content.decode()
    assert "Add the players" not in page(world, "crew").content.decode()


def test_names_cannot_carry_markup(world: World) -> None:
    add(world, "<script>alert(1)</script>")
    assert "<script>alert" not in page(world).content.decode()


@pytest.mark.parametrize("more", [0, 20])
def test_queries_do_not_grow(world: World, more: int, django_assert_num_queries: Any) -> None:
    add(world, *map(str, range(more)))
    client = as_user(world.engineer)
    with django_assert_num_queries(3):
        client.get(at(world, "core:players"))
