"""The placement sketch: to scale, from both sides, and honest about what was not measured."""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ET
from decimal import Decimal
from typing import Any

import pytest

from rigs.drawing.placement import (
    AIM,
    BAR,
    BODY,
    FIRST_LINE,
    MIDDLE,
    PANEL_WIDTH,
    SOURCE_X,
    placed,
    placement_sketch,
)
from rigs.wording import DeviceView, InputView
from tests.support.views import mic_on

SVG = "{http://www.w3.org/2000/svg}"


def entry(**measured: Any) -> InputView:
    values = {
        name: Decimal(value) for name, value in measured.items() if name.endswith(("_m", "_deg"))
    }
    texts = {name: value for name, value in measured.items() if name not in values}
    return mic_on("Cabinet", "Bass mic", 7, **values, **texts)


def drawing(view: InputView) -> ET.Element:
    return ET.fromstring(placement_sketch(view))  # noqa: S314 - our own drawing


def microphones(view: InputView) -> list[tuple[float, float, float]]:
    """x and y of the capsule in its panel, and its turn: from the side, then from above."""
    found = []
    for element in drawing(view).iter(f"{SVG}g"):
        if element.get("class") == "placement-mic":
            numbers = re.findall(r"-?[\d.]+", element.get("transform", ""))
            found.append((float(numbers[0]), float(numbers[1]), float(numbers[2])))
    return found


def test_distance_height_and_offset_make_a_box() -> None:
    # By hand: 3² + 4² + 12² = 13², a Pythagorean quadruple.
    place = placed(entry(distance_m="0.13", height_m="0.03", offset_m="-0.04"))
    assert (place.out, place.up, place.right) == (pytest.approx(0.12), 0.03, -0.04)


def test_both_views_have_one_scale() -> None:
    (side_x, side_y, _), (top_x, top_y, _) = microphones(
        entry(distance_m="0.13", height_m="0.03", offset_m="-0.04")
    )
    scale = (side_x - SOURCE_X) / 0.12
    assert top_x == side_x
    assert MIDDLE - side_y == pytest.approx(0.03 * scale, abs=0.02)  # up is up
    assert top_y - MIDDLE == pytest.approx(-0.04 * scale, abs=0.02)  # left is up, seen from above


def test_an_overhead_straight_above_stands_out_by_nothing() -> None:
    assert placed(entry(distance_m="1.2", height_m="1.2")).out == 0.0


def test_the_angle_turns_the_microphone_as_seen_from_above() -> None:
    (_, _, side), (_, _, top) = microphones(entry(distance_m="0.035", angle_deg="20"))
    assert (side, top) == (0.0, 20.0)


def test_what_was_not_measured_is_said() -> None:
    root = drawing(entry(distance_m="0.035", distance_unit="mm"))
    said = [e.text for e in root.iter(f"{SVG}text")]
    assert said.count("distance 35 mm (1.4 in)") == 2
    assert {"height not measured", "offset not measured", "angle not measured"} <= set(said)
    assert "distance 35 mm (1.4 in); angle off axis not measured" in (
        root.findtext(f"{SVG}desc") or ""
    )


def test_nothing_measured_is_drawn_dashed_and_without_a_scale() -> None:
    root = drawing(entry())
    classes = [e.get("class") for e in root.iter()]
    assert "placement-scale" not in classes
    assert "placement-tape" not in classes
    assert [e.text for e in root.iter(f"{SVG}text")].count("distance not measured") == 2
    dashed = [e for e in root.iter(f"{SVG}circle") if e.get("stroke-dasharray")]
    assert len(dashed) == 2


def test_measures_that_contradict_each_other_are_said() -> None:
    place = placed(entry(distance_m="0.1", height_m="0.3"))
    assert place.out is None
    assert place.problem.startswith("Height and offset together are more than the distance.")


@pytest.mark.parametrize("metres", ["0.001", "0.035", "1.2", "10", "30"])
@pytest.mark.parametrize("aside", ["0", "1", "-1"])
@pytest.mark.parametrize("angle", ["0", "90", "-90", "180"])
def test_everything_stays_on_the_sheet_and_off_the_words(
    metres: str, aside: str, angle: str
) -> None:
    sideways = str(Decimal(metres) * Decimal(aside))
    view = entry(distance_m=metres, offset_m=sideways, angle_deg=angle)
    for x, y, turn in microphones(view):
        # The microphone lies along its axis, away from where it looks.
        end_x = x + BODY * math.cos(math.radians(turn))
        end_y = y + BODY * math.sin(math.radians(turn))
        assert min(x, end_x) - 4.5 * abs(math.sin(math.radians(turn))) >= 0
        assert max(x, end_x) <= PANEL_WIDTH
        assert min(y, end_y, y - AIM * abs(math.sin(math.radians(turn)))) >= 18
        assert max(y, end_y, y + AIM * abs(math.sin(math.radians(turn)))) <= BAR - 4
    assert BAR + 4 < FIRST_LINE - 11
    for element in drawing(view).iter(f"{SVG}path"):
        if element.get("class") == "placement-scale":
            start = float(re.findall(r"-?[\d.]+", element.get("d", ""))[0])
            assert 60 <= start <= PANEL_WIDTH - 10 - 29  # room for its words, and 30 px at least


def test_the_bar_of_a_millimetre_is_no_longer_than_the_sheet() -> None:
    said = [e.text for e in drawing(entry(distance_m="0.001")).iter(f"{SVG}text")]
    assert "0.5 mm" in said


def test_a_direct_box_has_no_sketch() -> None:
    box = DeviceView("di", "Box", "di", "DI box", "di_passive", "DI, passive", "", False)
    assert placement_sketch(InputView("i", 1, "DI", device=box)) == ""
