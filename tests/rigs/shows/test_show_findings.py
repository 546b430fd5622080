"""The findings of a show: from the database to the page."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest
from django.test import Client

from core.models import Player, Show
from rigs.changes.edits import Add, Set
from rigs.models import Device, Input, ShowHire, ShowRig
from rigs.revisions.record import record
from rigs.shows.services import differ
from rigs.shows.stage import stage_of
from tests.rigs.shows.shows import make_show
from tests.support.pages import as_user, queries_of
from tests.support.pages import at as address
from tests.support.world import World, make_rig


@pytest.fixture
def show(world: World) -> Show:
    return make_show(world)


@pytest.fixture
def tech(world: World) -> Client:
    return as_user(world.tech)


def page(world: World, show: Show, client: Client) -> str:
    response = client.get(address(world, "rigs:show_findings", show.pk))
    assert response.status_code == 200
    return str(response.content.decode())


def second_input(world: World, **more: Any) -> str:
    part, mic = str(uuid4()), str(world.mic.pk)
    world.record(Add(part, "input", {"name": "Second", "device": mic, **more}))
    return part


def own(world: World, number: int) -> None:
    Device.objects.filter(pk=world.mic.pk).update(owned=number)


def test_a_microphone_that_is_owned_once_and_wanted_twice(
    world: World, show: Show, tech: Client
) -> None:
    second = second_input(world)
    own(world, 1)
    assert f"{world.mic}: 1 too few for this show" in page(world, show, tech)
    ShowHire.objects.create(show=show, section="devices", what=str(world.mic), by=world.tech)
    assert "too few" not in page(world, show, tech)
    ShowHire.objects.all().delete()
    why = {"why": "failure", "words": "It broke."}
    differ(show, Input.objects.get(pk=second), by=world.tech, absent=True, **why)
    assert "too few" not in page(world, show, tech)


def test_channels_are_those_of_the_day(world: World, show: Show, tech: Client) -> None:
    second = second_input(world, number=40)
    assert "stands for" not in page(world, show, tech)
    number = Input.objects.get(pk=world.input.pk).number
    differ(show, Input.objects.get(pk=second), by=world.tech, number=number)
    assert f"Channel {number} stands for" in page(world, show, tech)


def test_a_spare_that_plays_beside_the_main_rig(world: World, show: Show, tech: Client) -> None:
    spare = make_rig(world.production, world.player, world.tech, "Second")
    record(spare, [Set(str(spare.pk), "rig", {"variant": "spare"})], author=world.tech, base=1)
    assert "rigs of" not in page(world, show, tech)
    ShowRig.objects.create(show=show, rig=spare, plays=True, by=world.tech)
    assert f"2 rigs of {world.player} play: Bass main, Second" in page(world, show, tech)


def test_the_mains_circuit_of_units_with_its_caution(
    world: World, show: Show, tech: Client
) -> None:
    unit = str(world.unit.pk)
    assert "licensed electrician" not in page(world, show, tech)
    world.record(
        Set(unit, "unit", {"mains_circuit": "Left, 230 V, 4 A"}),
        Add(str(uuid4()), "fact", {"unit": unit, "key": "mains_power", "value": "1000"}),
    )
    html = page(world, show, tech)
    # Source: I = P / V, 1000 W / 230 V, by hand.
    assert "4.348 A" in html
    assert "licensed electrician" in html
    assert "Accept it as it is" not in html


def test_the_page_costs_the_same_for_many(world: World, show: Show, tech: Client) -> None:
    url = address(world, "rigs:show_findings", show.pk)
    second_input(world)
    own(world, 1)
    world.record(Set(str(world.unit.pk), "unit", {"mains_circuit": "Left"}))
    few = queries_of(tech, url)
    for number in range(5):
        player = Player.objects.create(production=world.production, name=f"P{number}")
        make_rig(world.production, player, world.tech, f"Rig {number}")
        second_input(world, number=50 + number)
    assert queries_of(tech, url) == few


def test_laying_it_out_costs_eleven_queries(
    world: World, show: Show, django_assert_num_queries: Any
) -> None:
    found = Show.objects.select_related("leg__production").get(pk=show.pk)
    differ(show, world.input, by=world.tech, device=world.other_mic, why="failure", words="Broke.")
    with django_assert_num_queries(11):
        stage_of(found)


def test_strangers_find_nothing(world: World, show: Show) -> None:
    url = address(world, "rigs:show_findings", show.pk)
    assert as_user(world.outsider).get(url).status_code == 404
    assert as_user(world.people["crew"]).get(url).status_code == 200
