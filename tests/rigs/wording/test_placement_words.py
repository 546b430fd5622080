"""The one sentence of where a microphone stands. Inches from 25.4 mm to the inch (NIST SP 811)."""

from __future__ import annotations

import pytest

from core.units import format_length
from rigs.wording.placement import placement_words

WHOLE = {
    "aimed_at": "between dust cap and edge",
    "reference_point": "the grille",
    "distance_m": "0.035",
    "angle_deg": "-15",
    "height_m": "-0.02",
    "height_unit": "cm",
    "offset_m": "0.05",
    "offset_unit": "cm",
}


def test_all_of_it_in_both_systems_of_units() -> None:
    assert placement_words(WHOLE, on="Cabinet") == (
        "On Cabinet, between dust cap and edge, 35 mm (1.4 in) from the grille, −15° off axis, "
        "2 cm (0.79 in) below it, 5 cm (2 in) to the right"
    )


def test_as_it_was_written_for_a_list_on_paper() -> None:
    assert placement_words(WHOLE, lengths=format_length) == (
        "between dust cap and edge, 35 mm from the grille, −15° off axis, 2 cm below it, "
        "5 cm to the right"
    )


@pytest.mark.parametrize(
    ("known", "words"),
    [
        ({}, "In the room"),
        ({"aimed_at": "audience"}, "In the room, audience"),
        ({"distance_m": "0"}, "In the room, 0 mm (0 in)"),
        ({"angle_deg": "0"}, "In the room, 0° off axis"),
        # Level with the point it is measured from: there is nothing to say.
        ({"height_m": "0", "offset_m": "0"}, "In the room"),
        # Without a distance, the point that height and offset are measured from is still said.
        (
            {"reference_point": "the rim", "height_m": "0.05"},
            "In the room, measured from the rim, 50 mm (2 in) above it",
        ),
        # 0.3 m ÷ 0.0254 m = 11.81; below one foot nobody reads off feet.
        ({"offset_m": "-0.3", "offset_unit": "m"}, "In the room, 0.3 m (11.8 in) to the left"),
    ],
)
def test_what_is_missing_is_left_out(known: dict[str, str], words: str) -> None:
    assert placement_words(dict(known), on="") == words


def test_nothing_noted() -> None:
    assert placement_words({}, nothing="not noted") == "not noted"
    assert placement_words({"device": "some id", "stand": "short boom"}, nothing="–") == "–"
