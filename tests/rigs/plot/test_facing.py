"""Which way things face: in words and degrees, and drawn where the words say."""

from __future__ import annotations

import math
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rigs.plot.facing import facing_words, in_circle, read_facing
from rigs.plot.things import Plan, Size, What, bounds
from tests.rigs.plot.test_drawing import SVG, drawn, metres, thing


@given(st.integers(-720, 720))
@settings(max_examples=40)
def test_what_is_said_is_read_as_the_same(degrees: int) -> None:
    assert read_facing(facing_words(degrees)) == in_circle(degrees)
    assert (in_circle(degrees) - degrees) % 360 == 0
    assert -180 < in_circle(degrees) <= 180


@pytest.mark.parametrize(
    ("typed", "degrees"),
    [
        ("", None),
        ("Downstage", 0),
        ("towards the audience", 0),
        # Stage right is house left (common practice, no source).
        ("house left", 90),
        ("30", 30),
        ("-30°", -30),
        ("30° stage left", -30),
        ("20 house right", -20),
        ("270", -90),
    ],
)
def test_words_and_degrees(typed: str, degrees: int | None) -> None:
    assert read_facing(typed) == degrees


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("left", "Stage left, or house left?"),
        ("sideways", "is no direction"),
        ("400", "is no direction"),
        ("30 left", "write stage left or stage right"),
    ],
)
def test_what_says_no_direction_is_told(typed: str, told: str) -> None:
    with pytest.raises(ValueError, match=told.replace("?", r"\?")):
        read_facing(typed)


@pytest.mark.parametrize(
    ("faces", "x", "y"), [(0, 0, 1), (90, -1, 0), (180, 0, -1), (-90, 1, 0), (-45, 0.7071, 0.7071)]
)
def test_it_is_drawn_where_the_words_say(faces: int, x: float, y: float) -> None:
    """The front of a shape is at its foot; SVG turns it clockwise (SVG 2, section 8.5), stage right
    is on the left of the sheet, the audience below it."""
    svg = drawn(thing(0, 3, What.MONITOR, "Wedge", turns=True, faces=faces))
    (group,) = (each for each in svg.iter(f"{SVG}g") if each.get("data-thing"))
    (nib,) = (each for each in group if each.get("class") == "plot-nib")
    tip = [float(each) for each in re.findall(r"-?[\d.]+", nib.get("d", ""))[2:4]]
    turn = re.search(r"rotate\((-?\d+)\)", group.get("transform", ""))
    angle = math.radians(float(turn[1]) if turn else 0)
    ahead = (
        tip[0] * math.cos(angle) - tip[1] * math.sin(angle),
        tip[0] * math.sin(angle) + tip[1] * math.cos(angle),
    )
    far = math.hypot(*ahead)
    assert (ahead[0] / far, ahead[1] / far) == pytest.approx((x, y), abs=1e-3)


def test_what_is_turned_needs_another_room() -> None:
    # A riser of 3 × 1 m that faces stage right is 1 m wide across the stage, and 3 m deep.
    size = Size(metres(3), metres(1))
    turned = thing(0, 4, What.RISER, size=size, turns=True, faces=90)
    assert bounds(turned) == pytest.approx((-0.5, 0.5, 2.5, 5.5))


def test_a_kit_turns_with_the_drum_it_is_placed_by() -> None:
    # The drummer looks to stage right: what is 0.5 m in front of the snare is 0.5 m nearer to stage
    # right, and what is 0.3 m to the right hand is 0.3 m further upstage (by hand).
    plan = Plan(metres(1).metres, metres(5).metres, faces=90)
    assert plan.spot(metres(0).metres, metres(0.5).metres, "m").metres == (1.5, 5.0)
    assert plan.spot(metres(0.3).metres, metres(0).metres, "m").metres == (1.0, 5.3)
