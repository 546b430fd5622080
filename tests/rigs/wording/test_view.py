"""A whole rig, ready to be shown."""

from __future__ import annotations

from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest

from rigs.changes.edits import Add, Retire, Set
from rigs.revisions.read import as_of, live
from rigs.wording import snapshot_view
from rigs.wording.fields import setting
from tests.support.world import HIRE, World


def test_a_view_has_units_with_controls_and_inputs(world: World) -> None:
    view = snapshot_view(world.rig, live(world.rig))
    (unit,), (entry,) = view.units, view.inputs
    assert (view.name, view.sound) == ("Bass main", "Warm, woody, no clank.")
    assert (unit.name, unit.gear_label, unit.make) == ("Head", "valve amplifier head", "Tarn")
    assert [(c.name, c.text, c.changed) for c in unit.controls] == [("Gain", "2:30", False)]
    assert (entry.label, entry.heard) == ("7 Bass mic", "Head")
    assert entry.device is not None
    assert entry.device.name == "Corvane Hollow 2"
    assert (entry.distance_m, entry.distance_text) == (Decimal("0.035"), "35 mm (1.4 in)")


def test_the_settings_of_an_input_say_what_is_set(world: World) -> None:
    (entry,) = snapshot_view(world.rig, live(world.rig)).inputs
    assert [(spec.label, spec.text) for spec in entry.placement] == [
        ("Takes its sound from", "Head"),
        ("Aimed at", "cone edge"),
        ("Microphone or DI", "Corvane Hollow 2"),
        ("Measured from", "grille"),
        ("Distance", "35 mm (1.4 in)"),
        ("Angle off axis", "20°"),
    ]
    assert [(spec.label, spec.text) for spec in entry.mix] == [
        ("Phantom power", "off"),
        ("HPF", "30 Hz"),
        ("Pan", "centre"),
    ]


def test_what_differs_from_an_earlier_state_is_marked(world: World) -> None:
    world.turn("3:00")
    world.swap(world.other_mic, HIRE)
    world.record(Add(str(uuid4()), "unit", {"name": "Cabinet", "position": 1}))
    view = snapshot_view(world.rig, live(world.rig), before=as_of(world.rig, 1))
    head, cabinet = view.units
    assert (head.controls[0].changed, head.controls[0].was) == (True, "2:30")
    assert (head.is_new, cabinet.is_new) == (False, True)
    assert [(s.label, s.was) for s in view.inputs[0].specs if s.changed] == [
        ("Microphone or DI", "Corvane Hollow 2")
    ]


def test_a_state_of_the_past_shows_what_has_left_since(world: World) -> None:
    world.record(
        Retire(str(world.control.pk), "control"),
        Retire(str(world.input.pk), "input"),
        Retire(str(world.unit.pk), "unit"),
        reason=HIRE,
    )
    world.mic.retire()
    view = snapshot_view(world.rig, as_of(world.rig, 1))
    assert [unit.name for unit in view.units] == ["Head"]
    assert view.inputs[0].device is not None
    assert view.inputs[0].device.retired
    assert snapshot_view(world.rig, as_of(world.rig, 2)).units == ()


def test_a_value_shows_its_unit_and_a_true_minus(world: World) -> None:
    world.record(
        Set(str(world.control.pk), "control", {"style": "value", "symbol": "dB", "setting": "-12"})
    )
    (unit,) = snapshot_view(world.rig, live(world.rig)).units
    assert (unit.controls[0].setting, unit.controls[0].text) == ("-12", "−12 dB")


def test_a_view_needs_as_many_queries_for_twenty_units_as_for_one(
    world: World, django_assert_num_queries: Any
) -> None:
    small = live(world.rig)
    world.record(*(Add(str(uuid4()), "unit", {"name": f"Pedal {n}"}) for n in range(20)))
    for snapshot in (small, live(world.rig)):
        with django_assert_num_queries(2):  # the devices, who else picks it up
            snapshot_view(world.rig, snapshot)


def test_a_ratio_is_written_in_one_piece() -> None:
    assert setting("3", {"style": "value", "symbol": ":1"}) == "3:1"
    assert setting("-35", {"style": "value", "symbol": "dB"}) == "−35 dB"
    assert setting("2:30", {"style": "clock", "symbol": ""}) == "2:30"


@pytest.mark.parametrize(
    ("metres", "height", "side"),
    [
        ("0.05", "5 cm (2 in) above it", "5 cm (2 in) to the right"),
        ("-0.05", "5 cm (2 in) below it", "5 cm (2 in) to the left"),
    ],
)
def test_which_way_a_microphone_lies_is_said_in_words(
    world: World, metres: str, height: str, side: str
) -> None:
    lengths = {"height_m": metres, "height_unit": "cm", "offset_m": metres, "offset_unit": "cm"}
    world.record(
        *[Set(str(world.input.pk), "input", {name: value}) for name, value in lengths.items()]
    )
    world.rig.refresh_from_db()
    (entry,) = snapshot_view(world.rig, live(world.rig)).inputs
    assert entry.where.endswith(f", {height}, {side}")
