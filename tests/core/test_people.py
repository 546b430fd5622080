"""Who is in the production, and who is invited."""

from __future__ import annotations

from typing import Any

import pytest

from core.models import Membership
from core.services.invitations import invite
from tests.support.pages import as_user, at
from tests.support.world import World, make_user


def page(world: World, role: str) -> Any:
    return as_user(world.people[role]).get(at(world, "core:people"))


def test_everybody_once_with_all_their_roles(world: World) -> None:
    Membership.objects.create(production=world.production, user=world.engineer, role="tech")
    people = page(world, "crew").context["people"]
    assert len(people) == 6
    engineer = next(person for person in people if person.user == world.engineer)
    assert engineer.role_names == ["FOH engineer", "backline tech"]
    player = next(person for person in people if person.user == world.people["player"])
    assert player.player == world.player


def test_only_managers_see_invitations(world: World) -> None:
    invite(
        production=world.production,
        roles=["crew"],
        by=world.people["manager"],
        address=str,
        email="nel@example.org",
    )
    assert "nel@example.org" in page(world, "manager").content.decode()
    assert "nel@example.org" not in page(world, "engineer").content.decode()


def test_only_managers_are_offered_to_invite(world: World) -> None:
    assert at(world, "core:invite") in page(world, "manager").content.decode()
    assert at(world, "core:invite") not in page(world, "tech").content.decode()


def test_outsider_gets_404(world: World) -> None:
    assert as_user(world.outsider).get(at(world, "core:people")).status_code == 404


@pytest.mark.parametrize("more", [0, 20])
def test_queries_do_not_grow(world: World, more: int, django_assert_num_queries: Any) -> None:
    for number in range(more):
        user = make_user(f"Hand {number}")
        Membership.objects.create(production=world.production, user=user, role="crew")
        invite(
            production=world.production,
            roles=["player"],
            by=user,
            address=str,
            player=world.player,
        )
    client = as_user(world.people["manager"])
    with django_assert_num_queries(5):
        client.get(at(world, "core:people"))
