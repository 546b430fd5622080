"""The plan of a kit: to scale, nothing across anything, nothing drawn that was not measured.

Lengths are checked by Pythagoras on triples (30, 40, 50; 5, 12, 13).
"""

from __future__ import annotations

import math
import random
import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from decimal import Decimal
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigs.drawing.kit import kit_of
from rigs.drawing.kit_plan import TOP, WIDTH, described, kit_plan, lay_out
from rigs.wording import FactView, InputView, RigView, UnitView
from tests.support.views import mic_on, rig, unit


def _place(right: str | None, front: str | None, of: str = "cm") -> dict[str, object]:
    found: dict[str, object] = {}
    for name, value in (("plan_right", right), ("plan_front", front)):
        if value is not None:
            metres = Decimal(value) / 100
            found |= {f"{name}_m": metres, f"{name}_unit": of}
    return found


def drum(name: str, right: str | None = None, front: str | None = None, size: str = "") -> UnitView:
    facts = (FactView("f", "diameter", "diameter", Decimal(size), f"{size} m"),) if size else ()
    return unit(name, "drum", facts=facts, **_place(right, front))


def mic(
    number: int, name: str, right: str | None = None, front: str | None = None, **more: object
) -> InputView:
    on = str(more.pop("unit", "Snare"))
    return mic_on(on, name, number, **_place(right, front), **more)


def kit(*mics: InputView) -> RigView:
    return rig([drum("Snare", "0", "0", "0.3556"), drum("Floor tom", "60", "-10")], [], list(mics))


def test_the_distance_in_plan_follows_from_the_two_tapes() -> None:
    found = kit_of(kit(mic(3, "Tom", "-30", "40"))).mics[0]
    assert found.plan == pytest.approx(0.5)
    assert found.plan_text == "50 cm (19.7 in)"
    assert (found.right_text, found.front_text) == (
        "30 cm (11.8 in) left",
        "40 cm (15.7 in) in front",
    )


def test_it_is_drawn_to_scale() -> None:
    found = kit_of(kit(mic(1, "A", "50", "120"), mic(2, "B", "-50", "-120")))
    sheet = lay_out(found)
    for each in found.mics:
        x, y = sheet.at(each.right, each.front)
        apart = math.dist((x, y), sheet.zero)
        assert apart == pytest.approx(1.3 * sheet.scale)
    # The drummer's right is right on the page, and the audience is up.
    assert sheet.at(0.5, 1.2)[0] > sheet.zero[0]
    assert sheet.at(0.5, 1.2)[1] < sheet.zero[1]


def test_both_sides_of_the_stage_are_said_where_the_drummer_has_them() -> None:
    """Stage right is the right of whoever faces the audience (common practice, no source)."""
    drawn = kit_plan(kit_of(kit(mic(1, "A", "50", "120"))))
    left = re.search(r'<text x="([\d.]+)"[^>]*>← stage left<', drawn)
    right = re.search(r'<text x="([\d.]+)"[^>]*>stage right →<', drawn)
    assert left is not None
    assert right is not None
    assert float(left[1]) < WIDTH / 2 < float(right[1])


def test_a_kick_lies_and_is_drawn_as_long_as_it_is_deep() -> None:
    facts = tuple(
        FactView(key, key, key, Decimal(value), "")
        for key, value in (("diameter", "0.6"), ("shell_depth", "0.4"))
    )
    kick = unit("Kick", "drum", facts=facts, **_place("30", "40"))
    found = kit_of(rig([kick]))
    assert found.drums[0].size == (0.6, 0.4)
    assert "<rect" in kit_plan(found)


def test_what_states_no_size_is_dashed() -> None:
    assert 'stroke-dasharray="2 3"' in kit_plan(kit_of(rig([drum("Rack tom", "10", "40")])))


def test_what_was_not_measured_is_named_and_not_drawn() -> None:
    found = kit_of(kit(mic(1, "Kick in"), mic(2, "Tom", "10", None), mic(3, "Ride", "10", "10")))
    assert found.lacking == ("1 Kick in", "2 Tom")
    assert [each.name for each in found.mics] == ["Ride"]
    assert kit_plan(found).count('class="kit-mic"') == 1


def test_a_kit_nobody_measured_is_not_drawn() -> None:
    assert kit_plan(kit_of(rig([drum("Snare")], [], [mic(1, "Top")]))) == ""


def test_a_rig_without_drums_has_no_plan() -> None:
    assert not kit_of(rig([unit("Amp", "combo", **_place("1", "1"))])).is_drawn


def _tape(metres: str) -> dict[str, object]:
    value = Decimal(metres)
    return {
        "distance_m": value,
        "distance_unit": "m",
        "reference_point": "Snare  centre",
    }


def test_both_distances_of_the_overheads_are_told() -> None:
    left = mic(5, "Overhead left", "-40", "30", **_tape("1.02"))
    right = mic(6, "Overhead right", "40", "30", **_tape("1.03"))
    assert kit_of(kit(left, right)).pairs == (
        "Overhead left and Overhead right: 1.02 m (3.3 ft) and 1.03 m (3.4 ft) straight from the "
        "snare’s centre, 0.01 m (0.39 in) apart.",
    )


def test_the_centre_of_another_drum_is_not_where_the_plan_begins() -> None:
    """“Centre”, of a tom, is the tom's; a second snare's centre is its own."""
    tom = mic(5, "Tom", "50", "120", **_tape("1.2"), unit="Floor tom")
    assert kit_of(kit(tom)).problems  # “snare centre” is the snare's, whatever the mic is on
    on_own = replace(tom, reference_point="centre")
    assert not kit_of(kit(on_own)).problems
    assert kit_of(kit(on_own)).mics[0].tape is None


def test_equal_tapes_are_no_difference() -> None:
    left, right = (
        mic(n, f"Overhead {s}", "40", "30", **_tape("1.02")) for n, s in ((5, "left"), (6, "right"))
    )
    assert kit_of(kit(left, right)).pairs[0].endswith("centre, no difference.")


def test_without_straight_tapes_the_pair_is_told_in_plan() -> None:
    left, right = mic(5, "Overhead left", "-30", "40"), mic(6, "Overhead right", "50", "120")
    assert kit_of(kit(left, right)).pairs == (
        "Overhead left and Overhead right: 50 cm (19.7 in) and 130 cm (51.2 in) from the snare’s "
        "centre in plan, 80 cm (31.5 in) apart.",
    )


def test_a_straight_tape_shorter_than_the_plan_is_said_to_be_wrong() -> None:
    found = kit_of(kit(mic(5, "Overhead", "50", "120", **_tape("1.2"))))
    assert "shorter than its distance in plan" in found.problems[0]
    assert not kit_of(kit(mic(5, "Overhead", "50", "120", **_tape("1.3")))).problems


def _crowd(count: int, seed: int) -> RigView:
    chance = random.Random(seed)
    mics = [
        mic(n + 1, f"Mic {n + 1}", str(chance.randint(-90, 90)), str(chance.randint(-60, 110)))
        for n in range(count)
    ]
    return kit(*mics)


def _assert_clear(view: RigView) -> None:
    sheet = lay_out(kit_of(view))
    boxes = [label.box for label in sheet.labels]
    assert len(boxes) == len(kit_of(view).mics) + len(kit_of(view).drums)
    for one, other in combinations(boxes, 2):
        assert not one.overlaps(other)
    for box in boxes:
        assert not any(box.overlaps(mark) for mark in sheet.marks)
        assert box.x >= 0
        assert box.x + box.width <= WIDTH
        assert box.y >= TOP
        assert box.y + box.height <= TOP + sheet.height


@pytest.mark.parametrize("count", [1, 8, 20])
@pytest.mark.parametrize("seed", range(5))
def test_labels_never_overlap(count: int, seed: int) -> None:
    _assert_clear(_crowd(count, seed))


def test_not_even_where_twenty_stand_in_one_spot() -> None:
    _assert_clear(kit(*(mic(n, f"Mic {n}", "10", "10") for n in range(20))))


PLACES = st.lists(st.tuples(st.integers(-300, 300), st.integers(-300, 300)), max_size=20)


@given(PLACES)
def test_wherever_they_stand(places: list[tuple[int, int]]) -> None:
    _assert_clear(kit(*(mic(n, f"Mic {n}", str(a), str(b)) for n, (a, b) in enumerate(places))))


def test_the_words_say_what_the_picture_shows() -> None:
    found = kit_of(kit(mic(3, "Tom <b>", "-30", "40"), mic(4, "Kick")))
    told = " ".join(described(found))
    assert "3 Tom <b> (3): 30 cm (11.8 in) left, 40 cm (15.7 in) in front" in told
    assert "Not measured: 4 Kick." in told
    ET.fromstring(kit_plan(found))  # noqa: S314 - our own drawing, well-formed with such names
