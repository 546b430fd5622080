"""Circles are checked against the closure of reachability (S. Warshall, JACM 9(1), 1962): a cable
is in a circle if its end leads back to its start."""

from __future__ import annotations

from itertools import product

from hypothesis import given
from hypothesis import strategies as st

from rigs.checks.bench import BenchLink
from rigs.checks.circles import Way, circles, effects_loops
from rigs.checks.findings import Severity
from rigs.checks.rules.feedback_circle import check
from tests.rigs.checks.laying import found, only, unit


def cable(
    source: str, target: str, out: str = "", into: str = "", carries: str = "line"
) -> BenchLink:
    return BenchLink(f"{source}{out}-{target}{into}", source, target, carries, None, "", out, into)


HEAD, DELAY, MIXER = unit("Head", "head"), unit("Delay", "pedal"), unit("Mixer", "switcher")


def test_sound_that_comes_back_is_a_circle() -> None:
    finding = only(check, HEAD, DELAY, cable("Head", "Delay"), cable("Delay", "Head"))
    assert finding.severity == Severity.CAUTION
    assert finding.title == "Sound goes round in a circle: Head, Delay"
    assert set(finding.parts) == {"Head", "Delay", "Head-Delay", "Delay-Head"}


def test_a_marked_effects_loop_is_none() -> None:
    loop = (cable("Head", "Delay", "FX send"), cable("Delay", "Head", "", "FX Return"))
    assert not found(check, HEAD, DELAY, *loop)


def test_out_of_the_send_and_back_into_the_input_is_a_circle() -> None:
    wrong = (
        cable("Head", "Delay", "send"),
        cable("Delay", "Head", "", "return"),
        cable("Delay", "Head", "", "input"),
    )
    assert set(only(check, HEAD, DELAY, *wrong).parts) >= {"Headsend-Delay", "Delay-Headinput"}


def test_a_circle_behind_an_effects_loop_is_still_found() -> None:
    loop = (cable("Head", "Delay", "send"), cable("Delay", "Head", "", "return"))
    behind = (cable("Head", "Mixer", "line out"), cable("Mixer", "Head", "", "return"))
    assert found(check, HEAD, DELAY, MIXER, *loop, *behind)


def test_control_cables_carry_no_sound() -> None:
    back = cable("Delay", "Head", carries="control")
    assert not found(check, HEAD, DELAY, cable("Head", "Delay"), back)


def test_a_split_and_a_merge_are_no_circle() -> None:
    assert not found(
        check,
        HEAD,
        DELAY,
        MIXER,
        cable("Head", "Delay"),
        cable("Head", "Mixer"),
        cable("Delay", "Mixer"),
    )


def test_a_unit_with_a_send_and_a_return_has_a_loop() -> None:
    ways = [Way("1", "a", "b", "send"), Way("2", "b", "a", "", "return"), Way("3", "a", "c")]
    assert effects_loops(ways) == ["a"]


WIRES = st.lists(st.tuples(st.integers(0, 6), st.integers(0, 6)), max_size=14, unique=True)


@given(WIRES)
def test_a_cable_is_in_a_circle_if_its_end_leads_back_to_its_start(
    wires: list[tuple[int, int]],
) -> None:
    ways = [Way(f"{a}-{b}", str(a), str(b)) for a, b in wires if a != b]
    reach = {(way.source, way.target) for way in ways}
    for middle, start, end in product(map(str, range(7)), repeat=3):  # Warshall's closure
        if (start, middle) in reach and (middle, end) in reach:
            reach.add((start, end))
    expected = {way.id for way in ways if (way.target, way.source) in reach}
    told = [part for knot in circles(ways) for part in knot]
    assert set(told) == expected
    assert len(told) == len(set(told))
