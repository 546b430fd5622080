"""Cautions stand where they belong, each defers to local rules and qualified people."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest
from django.urls import reverse

from rigs.cautions import (
    HEARING,
    HEAVY_KG,
    LIFTING,
    MAINS,
    OVERHEAD,
    RIBBON,
    of_input,
    of_rig,
    of_unit,
)
from rigs.changes.edits import Add
from rigs.gear.cautions import LOAD_CAUTION, MAINS_CAUTION, VALVE_CAUTION
from rigs.revisions.read import live
from rigs.wording import snapshot_view
from tests.support.world import World, make_device


def view_of(world: World) -> Any:
    world.rig.refresh_from_db()
    return snapshot_view(world.rig, live(world.rig))


def note(world: World, key: str, value: str) -> None:
    fact = {"unit": str(world.unit.pk), "key": key, "value": value}
    world.record(Add(str(uuid4()), "fact", fact))


@pytest.mark.parametrize(
    "words",
    [
        MAINS.text,
        RIBBON.text,
        OVERHEAD.text,
        LIFTING.text,
        HEARING.text,
        VALVE_CAUTION,
        MAINS_CAUTION,
    ],
    ids=["mains", "ribbon", "overhead", "lifting", "hearing", "valve", "earth"],
)
def test_each_leaves_the_last_word_to_others(words: str) -> None:
    assert any(said in words for said in ("qualified", "licensed", "local", "maker’s sheet"))


def test_a_valve_head_warns_of_its_charge_and_its_earth(world: World) -> None:
    (caution,) = of_unit(view_of(world).unit(world.unit.pk))
    assert "dangerous voltages" in caution.text
    assert "without their speaker load" in caution.text
    assert "Never lift a protective earth" in caution.text


def test_bridging_is_said_the_right_way_round() -> None:
    """A bridged pair shares one load in series: each side sees half of it, so 4 Ω a side need 8 Ω.

    Source: Kirchhoff and symmetry; that makers double the least load bridged: common practice.
    """
    assert "each side sees half of the load" in LOAD_CAUTION
    assert "usually twice" in LOAD_CAUTION
    assert "halves the load that each side may bear" not in LOAD_CAUTION


@pytest.mark.parametrize(("kilograms", "warned"), [(HEAVY_KG - 1, False), (HEAVY_KG, True)])
def test_a_heavy_case_is_lifted_by_several(world: World, kilograms: int, warned: bool) -> None:
    note(world, "weight", str(kilograms))
    found = of_unit(view_of(world).unit(world.unit.pk))
    assert any(f"{kilograms} kg in its case" in each.title for each in found) == warned


@pytest.mark.parametrize(("level", "warned"), [("99", False), ("116", True)])
def test_a_loud_unit_warns_of_hearing(world: World, level: str, warned: bool) -> None:
    note(world, "spl_at_mic", level)
    found = of_unit(view_of(world).unit(world.unit.pk))
    assert any(each.title.startswith("Hearing: ") for each in found) == warned


def test_a_passive_ribbon_warns_whatever_the_channel_says(world: World) -> None:
    ribbon = make_device(world.production, "Strandle", principle="ribbon")
    assert of_input(view_of(world).input(world.input.pk)) == []
    world.record(Add(str(uuid4()), "input", {"name": "Far", "device": str(ribbon.pk)}))
    far = next(each for each in view_of(world).inputs if each.name == "Far")
    assert of_input(far) == [RIBBON]


@pytest.mark.parametrize(
    ("fields", "warned"),
    [({"name": "Overhead left"}, True), ({"height_m": "1.8"}, True), ({"height_m": "1.7"}, False)],
    ids=["named", "high", "low"],
)
def test_what_stands_overhead_is_secured(world: World, fields: Any, warned: bool) -> None:
    world.record(Add(str(uuid4()), "input", {"name": "Far", **fields}))
    (far,) = [each for each in view_of(world).inputs if each.id != str(world.input.pk)]
    assert of_input(far) == ([OVERHEAD] if warned else [])


def test_a_rigs_cautions_are_said_once_with_what_they_are_about(world: World) -> None:
    world.record(Add(str(uuid4()), "unit", {"name": "Second head", "gear": "valve_head"}))
    ((_, names),) = of_rig(view_of(world))
    assert names == ["Head", "Second head"]


def test_figures_stand_with_the_names_so_that_the_words_are_said_once(world: World) -> None:
    second = str(uuid4())
    world.record(Add(second, "unit", {"name": "Second", "gear": "cabinet"}))
    note(world, "weight", "34")
    world.record(Add(str(uuid4()), "fact", {"unit": second, "key": "weight", "value": "40"}))
    assert dict(of_rig(view_of(world)))[LIFTING.text] == ["Head at 34 kg", "Second at 40 kg"]


def test_pages_of_units_and_inputs_show_them(world: World, client: Any) -> None:
    client.force_login(world.tech)
    note(world, "spl_at_mic", "116")
    at = [world.production.pk, world.rig.pk]
    unit = client.get(reverse("rigs:unit", args=[*at, world.unit.pk])).content.decode()
    entry = client.get(reverse("rigs:input", args=[*at, world.input.pk])).content.decode()
    for page in (unit, entry):
        assert "116 dB SPL where its microphone stands" in page
        assert "Valve amplifiers hold dangerous voltages" in page
    assert "Near Head" in entry
