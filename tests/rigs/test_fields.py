"""The rows that say what each field is, and what is derived from them.

The lists are what stood in the modules before it was derived: they say which fields are which, by
the house's own rules, and so have no other source.
"""

from __future__ import annotations

import pytest

from notes.trials.services import placement_fields
from rigs.editing.kinds import InputForm
from rigs.fields import (
    FieldRole,
    PartField,
    Rank,
    ValueKind,
    find,
    is_of_sound,
    length_with_unit,
    lengths_of,
    placement_of,
    reasons_needed_by,
    register,
    rows_of,
)
from rigs.lists.columns import COLUMNS
from rigs.models import PARTS
from rigs.models.parts import columns
from rigs.wording.fields import label, text

PLAN = ["plan_right_m", "plan_front_m"]


def test_every_kind_of_part_has_a_row_for_each_column_it_tracks() -> None:
    for kind, model in PARTS.items():
        assert [column.name for column in columns(model)] == [row.name for row in rows_of(kind)]


def test_the_columns_of_the_history_are_those_that_were_signed() -> None:
    """A field that went, or changed its name, would break every digest that it is in."""
    assert set(PARTS["input"].TRACKED) >= {
        *["number", "name", "unit", "aimed_at", "device", "reference_point", "angle_deg"],
        *["distance_m", "distance_unit", "height_m", "height_unit", "offset_m", "offset_unit"],
        *["plan_right_m", "plan_right_unit", "plan_front_m", "plan_front_unit", "stand"],
        *["stage_position", "reversed_polarity", "phantom", "pad_db", "gain_db"],
        *["high_pass_hz", "low_pass_hz", "pan", "notes", "position"],
    }
    assert set(PARTS["unit"].TRACKED) >= {
        *["name", "gear", "maker", "model", "serial", "tuning", "notes", "position"],
        *["stage_position", "mains_circuit", "packed_in", "plan_right_m", "plan_right_unit"],
        *["plan_front_m", "plan_front_unit"],
    }
    assert set(PARTS["link"].TRACKED) >= {
        *["source", "target", "from_socket", "to_socket", "carries", "cable", "connectors"],
        *["length_m", "length_unit", "position"],
    }


def test_what_needs_a_reason_is_the_device_and_where_it_stands() -> None:
    assert set(reasons_needed_by("input")) == {
        *["device", "unit", "aimed_at", "reference_point", "distance_m", "angle_deg", "height_m"],
        *["offset_m", *PLAN],
    }
    needing = {kind for kind in PARTS if reasons_needed_by(kind)}
    assert needing == {"input", "source", "member"}


def test_what_stands_beside_the_microphone_on_the_page_of_an_input() -> None:
    beside = [row.name for row in rows_of("input") if row.is_beside_device]
    assert beside == [
        *["unit", "aimed_at", "device", "reference_point", "distance_m", "angle_deg", "height_m"],
        *["offset_m", *PLAN, "stand"],
    ]


def test_what_moves_the_arrival_of_the_sound() -> None:
    assert {row.name for row in rows_of("input") if row.moves_arrival} == {
        *["unit", "device", "reference_point", "distance_m", "height_m", "offset_m", "angle_deg"],
    }


def test_what_an_alternative_of_a_trial_may_say_otherwise() -> None:
    stored = [name for row in placement_fields() for name in row.stored]
    assert stored == ["aimed_at", "reference_point", "distance_m", "distance_unit", "angle_deg"]


def test_lengths_and_the_units_they_were_written_in() -> None:
    pairs = {row.name: row.unit_field for kind in PARTS for row in lengths_of(kind)}
    assert pairs == {
        "distance_m": "distance_unit",
        "height_m": "height_unit",
        "offset_m": "offset_unit",
        "length_m": "length_unit",
        "plan_right_m": "plan_right_unit",
        "plan_front_m": "plan_front_unit",
    }
    length = length_with_unit("input", "height_unit")
    assert length is not None
    assert (length.name, length.key) == ("height_m", "height")
    assert length_with_unit("link", "height_unit") is None


def test_the_columns_of_the_input_list_in_their_order() -> None:
    assert [column.heading for column in COLUMNS] == [
        *["Channel", "Name", "Player", "Microphone or DI", "Stand", "Cable or stage box"],
        *["Output", "Monitors only"],
        *["Phantom", "Pad, dB", "Gain, dB", "HPF, Hz", "LPF, Hz"],
        *["Delay, ms", "Pan"],
        *["Polarity reversed", "Picks up", "Aimed at"],
        *["Measured from", "Distance", "Angle, °", "Height"],
        "Notes",
    ]


def test_no_heading_means_two_columns() -> None:
    names = [name for column in COLUMNS for name in column.names]
    assert sorted(names) == sorted(set(names))


def test_the_form_of_an_input_asks_for_every_field_of_its_groups_once() -> None:
    asked = list(InputForm.Meta.fields)
    assert asked == [
        *["number", "name", "device", "phantom", "reversed_polarity", "ground_lift", "stand"],
        *["stage_position"],
        *["unit", "aimed_at", "reference_point", "output", "distance_m", "angle_deg", "height_m"],
        *["offset_m", *PLAN, "gain_db", "pad_db", "pad_at", "high_pass_hz", "low_pass_hz"],
        *["delay_ms", "pan", "carries", "monitors_only", "notes"],
    ]
    known = {row.name for row in rows_of("input") if not length_with_unit("input", row.name)}
    assert known - set(asked) == {"position"}


@pytest.mark.parametrize(
    ("kind", "field", "words"),
    [
        ("input", "phantom", "Phantom power"),
        ("input", "gain_db", "Preamp gain"),
        ("input", "distance_unit", "Unit of the distance"),
        ("input", "position", "Place in the order"),
        ("link", "from_socket", "Out of socket"),
        ("pin", "x", "From the left"),
        ("rig", "retired", "Put away"),
    ],
)
def test_labels(kind: str, field: str, words: str) -> None:
    assert label(kind, field) == words


@pytest.mark.parametrize(
    ("kind", "field", "value", "words"),
    [
        ("input", "angle_deg", "-15", "−15°"),
        ("input", "gain_db", "32.0", "32 dB"),
        ("input", "high_pass_hz", "80", "80 Hz"),
        ("input", "pan", -50, "50 house left"),
        ("input", "reversed_polarity", True, "reversed"),
        ("rig", "retired", False, "no"),
        ("control", "low", "0.500", "0.5"),
        ("pin", "x", "0.4325", "43.25 %"),
        ("song_setting", "at_s", 95, "1:35"),
        ("unit", "dropped_by_a_later_version", "as it was", "as it was"),
    ],
)
def test_values_in_words(kind: str, field: str, value: str | int | bool, words: str) -> None:
    assert text(kind, field, value) == words


def test_a_photo_an_order_and_a_pin_are_no_change_of_the_sound() -> None:
    # The name of a group is none either; which units are in it, and who hears it, is.
    silent_kinds = ("photo", "pin", "group")
    assert not any(is_of_sound(kind, "") for kind in silent_kinds)
    assert all(is_of_sound(kind, "") for kind in PARTS if kind not in silent_kinds)
    assert not any(is_of_sound(kind, "position") for kind in PARTS if kind != "rig")
    silent = [row.name for row in rows_of("input") if not row.of_sound]
    assert silent == [
        *["number", "name", "distance_unit", "height_unit", "offset_unit", "plan_right_unit"],
        *["plan_front_unit", "stand", "stage_position", "notes", "position"],
    ]


def test_what_is_not_known_counts_as_a_change_of_the_sound() -> None:
    """A field of an old record that the program has dropped: better to ask once too often."""
    assert is_of_sound("input", "dropped")
    assert is_of_sound("dropped", "field")


def test_a_field_stands_once() -> None:
    twice = [PartField("depth_m", FieldRole.PLACEMENT, ValueKind.LENGTH), PartField("depth_unit")]
    with pytest.raises(ValueError, match="twice"):
        register("of the test", twice)
    assert rows_of("of the test") == ()


def test_every_role_has_a_rank() -> None:
    assert {PartField("any", role).rank for role in FieldRole} == set(Rank)


def test_where_a_microphone_stands_is_what_its_sentence_is_made_of() -> None:
    assert [row.name for row in placement_of("input") if row.phrase] == [
        *["aimed_at", "reference_point", "distance_m", "angle_deg", "height_m", "offset_m"],
    ]
    assert find("input", "distance_m") in placement_of("input")
