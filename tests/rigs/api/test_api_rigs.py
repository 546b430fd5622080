"""Rigs over the API: lists, a rig whole, a rig as it was."""

from __future__ import annotations

from typing import Any

import pytest

from core.models.roles import Role
from rigs.revisions.read import as_of, live
from tests.support.api import api, ids
from tests.support.world import World, make_rig, make_world


def url(world: World, query: str = "") -> str:
    return f"/api/v1/rigs/{world.rig.pk}/{query}"


def test_the_list_names_the_newest_change(world: World) -> None:
    world.turn("4:00")
    (row,) = (
        api(world.tech).get(f"/api/v1/productions/{world.production.pk}/rigs/").json()["results"]
    )
    assert (row["name"], row["variant"], row["retired"]) == ("Bass main", "main", False)
    assert row["head"] == {"number": 2, "digest": world.rig.head_digest}


def test_only_rigs_of_this_production(world: World) -> None:
    make_world("Another act")
    found = api(world.tech).get(f"/api/v1/productions/{world.production.pk}/rigs/")
    assert ids(found) == [str(world.rig.pk)]


def test_a_rig_whole(world: World) -> None:
    found = api(world.people[Role.CREW]).get(url(world)).json()
    assert found["production"] == str(world.production.pk)
    assert found["player"] == str(world.player.pk)
    assert found["head"] == found["at"] == {"number": 1, "digest": world.rig.head_digest}
    assert found["snapshot"] == live(world.rig)
    assert found["snapshot"][str(world.input.pk)]["distance_m"] == "0.035"


def test_a_rig_as_it_was(world: World) -> None:
    before = world.rig.head_digest
    world.turn("4:00")
    found = api(world.tech).get(url(world, "?at=1")).json()
    assert found["at"] == {"number": 1, "digest": before}
    assert found["head"]["number"] == 2
    assert found["snapshot"] == as_of(world.rig, 1)
    assert found["snapshot"][str(world.control.pk)]["setting"] == "2:30"


def test_a_change_that_never_was(world: World) -> None:
    response = api(world.tech).get(url(world, "?at=2"))
    assert response.status_code == 404
    assert response.json() == {
        "code": "not_found",
        "detail": "Bass main has no change number 2.",
    }


@pytest.mark.parametrize("at", ["", "x", "-1", "1.5", "²", "99999999999999999999"])
def test_what_is_no_number_of_a_change(world: World, at: str) -> None:
    response = api(world.tech).get(url(world), {"at": at})
    assert response.status_code == 400
    assert response.json()["fields"] == {"at": ["This is the number of a change: 1, 2, 3 …"]}


@pytest.mark.parametrize("below", ["", "changes/"])
def test_an_outsider_learns_nothing(world: World, below: str) -> None:
    mine = api(world.outsider).get(url(world, below))
    nobodys = api(world.outsider).get(f"/api/v1/rigs/{world.player.pk}/{below}")
    assert mine.status_code == nobodys.status_code == 404


def test_the_devices_with_their_figures(world: World) -> None:
    world.mic.max_spl_db = "150.0"
    world.mic.save()
    found = api(world.tech).get(f"/api/v1/productions/{world.production.pk}/devices/").json()
    mic = next(row for row in found["results"] if row["id"] == str(world.mic.pk))
    assert (mic["name"], mic["maker"], mic["principle"]) == ("Hollow 2", "Corvane", "dynamic")
    assert mic["max_spl_db"] == "150"


@pytest.mark.parametrize("size", [1, 12])
def test_the_list_costs_the_same_whatever_its_length(
    world: World, django_assert_num_queries: Any, size: int
) -> None:
    for number in range(size):
        make_rig(world.production, world.player, world.tech, f"Spare {number}")
    client = api(world.tech)
    with django_assert_num_queries(3):
        client.get(f"/api/v1/productions/{world.production.pk}/rigs/")


def test_the_history_newest_first(world: World) -> None:
    revision = world.turn("4:00")
    assert revision is not None
    page = api(world.tech).get(url(world, "changes/")).json()
    assert [row["number"] for row in page["results"]] == [2, 1]
    newest = page["results"][0]
    assert newest["digest"] == revision.digest
    assert newest["parent_digest"] == page["results"][1]["digest"]
    assert newest["author"] == {"id": str(world.tech.pk), "name": world.tech.name}
    assert newest["reason"] == {"kind": "none", "words": "", "notes": []}
    assert newest["changes"] == [
        {
            "part": str(world.control.pk),
            "kind": "control",
            "field": "setting",
            "old": "2:30",
            "new": "4:00",
        }
    ]


@pytest.mark.parametrize("size", [1, 40])
def test_the_history_costs_the_same_whatever_its_length(
    world: World, django_assert_num_queries: Any, size: int
) -> None:
    for number in range(size):
        world.turn(f"{1 + number % 2}:00")
    client = api(world.tech)
    # The key, the rig, the membership, a page of changes and their rows.
    with django_assert_num_queries(5):
        client.get(url(world, "changes/"))


def test_the_history_is_turned_page_by_page(world: World) -> None:
    for number in range(6):
        world.turn(f"{1 + number % 2}:00")
    client, numbers = api(world.tech), []
    address = url(world, "changes/?page_size=3")
    while address:
        page = client.get(address).json()
        numbers += [row["number"] for row in page["results"]]
        address = page["next"]
    assert numbers == [7, 6, 5, 4, 3, 2, 1]
