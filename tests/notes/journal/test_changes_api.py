"""The history of a production over the API: revisions, the change log, what narrows them."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any
from uuid import uuid4

import pytest

from core import clock
from core.models import Membership
from rigs.changes.edits import Add
from rigs.changes.reasons import Reason, ReasonKind
from tests.support.api import api
from tests.support.listening import change_for, hear, hear_after
from tests.support.world import World, make_device, make_rig, make_world

# The id of nothing; fixed, so that every process collects the same tests.
NOBODY = "5f0e1d52-0c0b-4f2a-9d8e-7b1a2c3d4e5f"

HIRE = Reason(ReasonKind.HIRE, "Ours is in repair.")


def url(world: World, kind: str = "revisions", query: str = "") -> str:
    return f"/api/v1/productions/{world.production.pk}/{kind}/{query}"


def numbers(world: World, query: str = "", kind: str = "revisions") -> list[int]:
    response = api(world.tech).get(url(world, kind, query))
    assert response.status_code == 200, response.json()
    return [row["number"] for row in response.json()["results"]]


def test_every_change_of_every_rig_newest_first(world: World) -> None:
    world.turn("4:00")
    make_rig(world.production, world.player, world.tech, "Spare")
    make_world("Another act")
    assert numbers(world) == [1, 2, 1]


def test_the_log_holds_what_has_a_reason_or_moves_an_input(world: World) -> None:
    world.turn("4:00")
    world.swap(world.other_mic, reason=HIRE)
    assert numbers(world, kind="changes") == [3, 1]


def test_the_log_says_because_of_what_and_how_it_turned_out(world: World) -> None:
    note = hear(world)
    after = hear_after(world, change_for(world, note), "helped")
    newest = api(world.tech).get(url(world, "changes")).json()["results"][0]
    assert newest["reason"] == {
        "kind": "notes",
        "words": "Less of the box.",
        "notes": [str(note.pk)],
    }
    (follow_up,) = newest["follow_ups"]
    assert (follow_up["id"], follow_up["outcome"]) == (str(after.pk), "helped")


def test_narrowed_by_what_was_changed_and_by_whom(world: World) -> None:
    world.turn("4:00", author=world.engineer)
    world.swap(world.other_mic, reason=HIRE)
    third = make_device(world.production, "Third")
    assert numbers(world, f"?rig={world.rig.pk}") == [3, 2, 1]
    assert numbers(world, f"?player={world.player.pk}") == [3, 2, 1]
    assert numbers(world, f"?input={world.input.pk}") == [3, 1]
    assert numbers(world, f"?device={world.other_mic.pk}") == [3]
    assert numbers(world, f"?device={world.mic.pk}") == [3, 1]
    assert numbers(world, f"?device={third.pk}") == []
    assert numbers(world, f"?author={world.engineer.pk}") == [2]
    assert numbers(world, "?reason_kind=hire") == [3]
    assert numbers(world, "?reason_kind=none") == [2, 1]
    assert numbers(world, f"?input={world.input.pk}&reason_kind=none") == [1]


def test_narrowed_by_date_both_ends_included(world: World) -> None:
    for day, setting in ((3, "4:00"), (4, "3:00"), (5, "1:00")):
        with clock.set_to(datetime(2031, 3, day, 12, tzinfo=UTC)):
            world.turn(setting)
    assert numbers(world, "?date_from=2031-03-04") == [4, 3]
    assert numbers(world, "?date_from=2031-03-03&date_to=2031-03-04") == [3, 2]
    assert numbers(world, "?date_from=2031-04-01") == []


@pytest.mark.parametrize("kind", ["revisions", "changes"])
@pytest.mark.parametrize(
    ("query", "field"),
    [
        ("rig=x", "rig"),
        (f"device={NOBODY}", "device"),
        (f"input={NOBODY}", "input"),
        (f"author={NOBODY}", "author"),
        (f"player={NOBODY}", "player"),
        ("date_from=yesterday", "date_from"),
        ("date_to=2031-02-30", "date_to"),
        ("reason_kind=boredom", "reason_kind"),
    ],
)
def test_a_filter_that_cannot_be_is_named(world: World, kind: str, query: str, field: str) -> None:
    response = api(world.tech).get(url(world, kind, f"?{query}"))
    assert response.status_code == 400
    assert response.json()["code"] == "invalid"
    assert list(response.json()["fields"]) == [field]


def test_somebody_of_another_production_is_no_author_here(world: World) -> None:
    other = make_world("Another act")
    response = api(world.tech).get(url(world, query=f"?author={other.tech.pk}"))
    assert response.json()["fields"] == {"author": ["This production has none such."]}


def test_somebody_with_two_roles_is_one_author(world: World) -> None:
    Membership.objects.create(production=world.production, user=world.tech, role="manager")
    assert numbers(world, f"?author={world.tech.pk}") == [1]


@pytest.mark.parametrize("kind", ["revisions", "changes"])
def test_an_outsider_learns_nothing(world: World, kind: str) -> None:
    assert api(world.outsider).get(url(world, kind)).status_code == 404


def test_the_history_is_turned_page_by_page_with_its_filter(world: World) -> None:
    for number in range(5):
        world.turn(f"{1 + number % 2}:00", author=world.engineer)
    client, seen = api(world.tech), []
    address = url(world, query=f"?author={world.engineer.pk}&page_size=2")
    while address:
        page = client.get(address).json()
        seen += [row["number"] for row in page["results"]]
        address = page["next"]
    assert seen == [6, 5, 4, 3, 2]


@pytest.mark.parametrize(("kind", "queries"), [("revisions", 4), ("changes", 5)])
@pytest.mark.parametrize("size", [10, 60])
def test_a_page_costs_the_same_however_long_the_history(
    world: World, django_assert_num_queries: Any, kind: str, queries: int, size: int
) -> None:
    for number in range(size):
        part = Add(str(uuid4()), "input", {"name": f"Mic {number}"})
        world.record(part, reason=HIRE)
    client = api(world.tech)
    with django_assert_num_queries(queries):
        assert len(client.get(url(world, kind)).json()["results"]) == min(size + 1, 50)
