"""The list of changes of a rig."""

from __future__ import annotations

import re
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from notes.signing.services import sign
from rigs.changes.edits import Add, Set
from rigs.models import Revision
from tests.support.world import HIRE, World


def address(world: World, query: str = "") -> str:
    return reverse("rigs:history", args=[world.production.pk, world.rig.pk]) + query


def page(client: Client, world: World, query: str = "") -> str:
    client.force_login(world.people["crew"])
    response = client.get(address(world, query))
    assert response.status_code == 200
    return response.content.decode()


def numbers(text: str) -> list[int]:
    return [int(part.split('"')[0]) for part in text.split('id="change-')[1:]]


def test_changes_are_told_newest_first_with_who_why_and_what(client: Client, world: World) -> None:
    world.turn("3:00")
    world.swap(world.other_mic, HIRE, author=world.engineer)
    text = page(client, world)
    assert numbers(text) == [3, 2, 1]
    assert world.engineer.name in text
    assert "Because it was hired in place of ours" in text
    assert "Ours is in repair." in text
    assert "Corvane Eskvane 4" in text


def test_a_restored_state_says_which(client: Client, world: World) -> None:
    from rigs.revisions.record import restore

    world.turn("3:00")
    world.rig.refresh_from_db()
    restore(world.rig, 1, author=world.tech)
    assert "Restored the state after" in page(client, world)


def test_a_unit_is_filtered_together_with_its_controls(client: Client, world: World) -> None:
    world.turn("3:00")
    world.swap(world.other_mic, HIRE)
    world.record(Set(str(world.unit.pk), "unit", {"tuning": "B E A D"}))
    assert numbers(page(client, world, f"?part={world.unit.pk}")) == [4, 2, 1]
    assert numbers(page(client, world, f"?part={world.input.pk}")) == [3, 1]


def test_author_and_reason_are_filtered(client: Client, world: World) -> None:
    world.turn("3:00", author=world.engineer)
    world.swap(world.other_mic, HIRE)
    assert numbers(page(client, world, f"?author={world.engineer.name}")) == [2]
    assert numbers(page(client, world, "?kind=hire")) == [3]


def test_nothing_found_offers_every_change(client: Client, world: World) -> None:
    assert "No change matches" in page(client, world, "?kind=failure")


def test_a_filter_that_is_no_choice_is_said_and_left_out(client: Client, world: World) -> None:
    text = page(client, world, f"?part={uuid4()}")
    assert "is not one of the available choices" in text
    assert numbers(text) == [1]


def test_long_histories_are_turned_over_by_number(client: Client, world: World) -> None:
    for turn in range(39):
        world.turn(f"{turn % 4 + 1}:00")
    first = page(client, world)
    assert numbers(first) == list(range(40, 25, -1))
    assert 'href="?before=26"' in first
    assert 'href="?after=' not in first
    second = page(client, world, "?before=26")
    assert numbers(second) == list(range(25, 10, -1))
    assert "?after=25" in second
    assert numbers(page(client, world, "?after=25")) == list(range(40, 25, -1))
    last = page(client, world, "?before=11")
    assert numbers(last) == list(range(10, 0, -1))
    assert 'href="?before=' not in last


def test_a_filter_stays_when_the_page_is_turned(client: Client, world: World) -> None:
    for turn in range(20):
        world.turn(f"{turn % 4 + 1}:00")
    assert "?kind=none&amp;before=7" in page(client, world, "?kind=none")


@pytest.mark.parametrize("query", ["?before=x", "?after=-1", "?before=99999999999999999999"])
def test_a_place_that_is_none_is_not_found(client: Client, world: World, query: str) -> None:
    client.force_login(world.tech)
    assert client.get(address(world, query)).status_code == 404


def test_a_change_of_many_things_is_cut_with_a_link_to_the_rest(
    client: Client, world: World
) -> None:
    world.record(*(Add(str(uuid4()), "unit", {"name": f"Pedal {n}"}) for n in range(15)))
    assert "and 3 more in change 2" in page(client, world)


def test_outsiders_find_nothing(client: Client, world: World) -> None:
    client.force_login(world.outsider)
    assert client.get(address(world)).status_code == 404


def count_queries(client: Client, world: World) -> int:
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    client.force_login(world.people["crew"])
    with CaptureQueriesContext(
        connection,
    ) as caught:
        assert client.get(address(world)).status_code == 200
    return len(caught)


def test_a_thousand_changes_need_no_more_queries_than_ten(client: Client, world: World) -> None:
    for turn in range(8):
        world.turn(f"{turn % 4 + 1}:00")
    world.swap(world.other_mic, HIRE)
    few = count_queries(client, world)
    for turn in range(990):
        world.turn(f"{(turn + 1) % 4 + 1}:00")
    world.swap(world.mic, HIRE)
    assert Revision.objects.count() >= 1000
    assert count_queries(client, world) <= few


def link(world: World, a: int, b: int) -> str:
    compare = reverse("rigs:compare", args=[world.production.pk, world.rig.pk])
    return f'href="{compare}?a={a}&amp;b={b}"'


def test_two_of_the_list_are_chosen_and_compared(client: Client, world: World) -> None:
    world.turn("3:00")
    world.turn("5:00")
    text = page(client, world)
    # The two newest, until somebody chooses.
    assert re.findall(r'name="(.)" value="(.)" form="pair" checked', text) == [
        ("b", "3"),
        ("a", "2"),
    ]
    compare = reverse("rigs:compare", args=[world.production.pk, world.rig.pk])
    assert f'action="{compare}"' in text
    for name in ("a", "b"):
        offered = re.findall(rf'name="{name}" value="(\d+)" form="pair"', text)
        assert offered == ["3", "2", "1"]
    compared = client.get(compare, {"a": "1", "b": "3"}).content.decode()
    assert "from change 1 to change 3" in compared


def test_each_change_is_compared_with_the_one_before(client: Client, world: World) -> None:
    world.turn("3:00")
    text = page(client, world)
    assert link(world, 1, 2) in text
    assert link(world, 0, 1) not in text  # the first has none before it


def test_each_change_is_compared_with_what_was_signed(client: Client, world: World) -> None:
    world.turn("3:00")
    assert "with what was signed" not in page(client, world)
    sign(rig=world.rig, party="player", decision="signed", revision=2, player=world.rig.player)
    world.turn("5:00")
    text = page(client, world)
    assert text.count("with what was signed") == 2  # all but the signed one itself
    assert link(world, 2, 3) in text
    assert link(world, 1, 2) in text  # the earlier one first, as always
    at = reverse("rigs:revision", args=[world.production.pk, world.rig.pk, 3])
    assert link(world, 2, 3) in client.get(at).content.decode()


def test_one_change_alone_offers_no_pair(client: Client, world: World) -> None:
    assert 'form="pair"' not in page(client, world)
