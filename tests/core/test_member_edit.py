"""Say what somebody does in the production."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest

from core.models import Membership, Player
from core.services.members import NoRoles, change_roles
from tests.support.pages import as_user, at
from tests.support.world import World, make_world

LAST = (
    "This is the only production manager. Make somebody else manager first, "
    "so that the production can still invite people."
)


def held(world: World, role: str) -> set[str]:
    user = world.people[role]
    return set(user.memberships.filter(production=world.production).values_list("role", flat=True))


def post(world: World, role: str, *roles: str, seen: str | None = None, **more: Any) -> Any:
    """The manager makes the person in `role` hold `roles`."""
    url = at(world, "core:member_edit", world.people[role].pk)
    data = {"roles": roles, "seen": role if seen is None else seen, **more}
    return as_user(world.people["manager"]).post(url, data)


def test_roles_are_exactly_the_ticked_ones(world: World) -> None:
    response = post(world, "tech", "crew", "engineer")
    assert response.headers["Location"] == at(world, "core:people")
    assert held(world, "tech") == {"crew", "engineer"}


def test_which_player_somebody_is(world: World) -> None:
    post(world, "tech", "tech", "player", player=world.player.pk)
    assert Membership.objects.get(user=world.tech, role="player").player == world.player
    post(world, "tech", "tech", "player", seen="player,tech")
    assert Membership.objects.get(user=world.tech, role="player").player is None


def test_the_form_opens_with_what_is_so(world: World) -> None:
    world.player.retire()
    url = at(world, "core:member_edit", world.people["player"].pk)
    form = as_user(world.people["manager"]).get(url).context["form"]
    assert form.initial == {"roles": ["player"], "player": world.player.pk, "seen": "player"}
    assert world.player in form.fields["player"].queryset


def test_the_last_manager_stays(world: World) -> None:
    response = post(world, "manager", "crew")
    assert response.context["form"].errors == {"roles": [LAST]}
    assert held(world, "manager") == {"manager"}


def test_one_of_two_managers_may_step_down(world: World) -> None:
    post(world, "tech", "tech", "manager")
    assert post(world, "manager", "crew").status_code == 302
    assert held(world, "manager") == {"crew"}


def test_nobody_is_left_without_a_role(world: World) -> None:
    assert post(world, "tech").context["form"].errors == {"roles": ["Choose at least one role."]}
    with pytest.raises(NoRoles):
        change_roles(production=world.production, user=world.tech, roles=[])


def test_a_stale_form_is_noticed_once(world: World) -> None:
    Membership.objects.create(production=world.production, user=world.tech, role="crew")
    response = post(world, "tech", "engineer")
    form = response.context["form"]
    assert form.errors == {
        "__all__": [
            "Someone else changed these roles meanwhile. Now they are: backline tech, crew. "
            "Save again to make them what you ticked."
        ]
    }
    assert held(world, "tech") == {"tech", "crew"}
    assert post(world, "tech", "engineer", seen=form["seen"].value()).status_code == 302
    assert held(world, "tech") == {"engineer"}


def test_players_of_other_productions_are_refused(world: World) -> None:
    foreign = make_world("Elsewhere").player
    form = post(world, "tech", "player", player=foreign.pk).context["form"]
    assert list(form.errors) == ["player"]
    with pytest.raises(ValueError, match=r"^That player belongs to another production\.$"):
        change_roles(production=world.production, user=world.tech, roles=["player"], player=foreign)
    assert Player.objects.get(pk=foreign.pk).memberships.count() == 1


@pytest.mark.parametrize("role", ["engineer", "tech", "player", "crew"])
def test_only_managers(world: World, role: str) -> None:
    url = at(world, "core:member_edit", world.tech.pk)
    assert as_user(world.people[role]).post(url, {"roles": ["manager"]}).status_code == 403


def test_people_who_are_not_in_it_get_404(world: World) -> None:
    client = as_user(world.people["manager"])
    for pk in (world.outsider.pk, uuid4()):
        assert client.get(at(world, "core:member_edit", pk)).status_code == 404
    assert (
        as_user(world.outsider).get(at(world, "core:member_edit", world.tech.pk)).status_code == 404
    )
