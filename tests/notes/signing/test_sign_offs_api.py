"""Sign-offs over the API: what was signed, and where a rig stands with each party."""

from __future__ import annotations

from typing import Any

import pytest

from core.models.roles import Role
from notes.models import Party, SignOff
from notes.signing.services import sign
from tests.support.api import api, ids
from tests.support.world import World, make_rig

SIGNED, WITHHELD = SignOff.Decision.SIGNED, SignOff.Decision.WITHHELD


def signed(world: World, party: str = Party.TECH, decision: str = SIGNED, **more: Any) -> SignOff:
    world.rig.refresh_from_db()
    return sign(
        rig=world.rig,
        party=party,
        decision=decision,
        revision=world.rig.head_number,
        user=world.people[Role(party)],
        **more,
    )


def url(world: World, query: str = "") -> str:
    return f"/api/v1/productions/{world.production.pk}/sign-offs/{query}"


def standing(world: World) -> Any:
    response = api(world.people[Role.CREW]).get(f"/api/v1/rigs/{world.rig.pk}/sign-offs/")
    assert response.status_code == 200
    return response.json()


def test_what_was_signed_newest_first(world: World) -> None:
    first = signed(world)
    second = signed(world, Party.ENGINEER, WITHHELD, words="The hum first.")
    found = api(world.people[Role.CREW]).get(url(world))
    assert ids(found) == [str(second.pk), str(first.pk)]
    newest = found.json()["results"][0]
    assert (newest["party"], newest["decision"], newest["revision"]) == ("engineer", "withheld", 1)
    assert newest["words"] == "The hum first."
    assert newest["revision_digest"] == world.rig.head_digest
    assert newest["seal"] == second.seal


def test_the_list_is_narrowed(world: World) -> None:
    tech = signed(world)
    signed(world, Party.ENGINEER)
    spare = make_rig(world.production, world.player, world.tech, "Spare")
    client = api(world.tech)
    assert ids(client.get(url(world, "?party=tech"))) == [str(tech.pk)]
    assert len(ids(client.get(url(world, f"?rig={world.rig.pk}")))) == 2
    assert ids(client.get(url(world, f"?rig={spare.pk}"))) == []
    assert list(client.get(url(world, "?party=cook")).json()["fields"]) == ["party"]


def test_where_a_rig_stands_with_each_party(world: World) -> None:
    signed(world, Party.PLAYER)
    signed(world, Party.ENGINEER, WITHHELD, words="The hum first.")
    world.turn("4:00")
    found = standing(world)
    assert found["head"]["number"] == 2
    assert found["signed_sound"] == "Warm, woody, no clank."
    parties = {row["party"]: row for row in found["parties"]}
    assert {name: row["state"] for name, row in parties.items()} == {
        "player": "changed",
        "tech": "not_asked",
        "engineer": "withheld",
    }
    assert parties["player"]["changes_since"] == 1
    assert parties["player"]["sign_off"]["player"] == str(world.player.pk)
    assert parties["tech"]["sign_off"] is None


def test_an_outsider_learns_nothing(world: World) -> None:
    signed(world)
    client = api(world.outsider)
    assert client.get(url(world)).status_code == 404
    assert client.get(f"/api/v1/rigs/{world.rig.pk}/sign-offs/").status_code == 404


def test_signing_is_not_for_programs(world: World) -> None:
    assert api(world.tech).post(url(world), {}).status_code == 405


@pytest.mark.parametrize("size", [1, 12])
def test_the_list_costs_the_same_whatever_its_length(
    world: World, django_assert_num_queries: Any, size: int
) -> None:
    for number in range(size):
        world.turn(f"{1 + number % 2}:00")
        signed(world)
    client = api(world.tech)
    with django_assert_num_queries(3):
        assert len(ids(client.get(url(world)))) == size
