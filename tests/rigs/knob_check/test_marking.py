"""The second look, which follows the mark alone, on drawn patches. Values: geometry."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from rigs.knob_check import refining
from rigs.knob_check.doubt import LIMITS, Reason, doubt_of, reason_for
from rigs.knob_check.found import Circle, Found
from rigs.knob_check.marking import HALF, PIXELS, Second, second_look
from rigs.knob_check.parallax import Vote
from rigs.knob_check.turning import on_one_axis

BURNT = 6.0


def patch(turn: float, *, ends: int = 1, light: float = 0.0, noise: float = 0.0) -> NDArray[Any]:
    """A cap of even tone with a bar from its middle to its edge, or to both edges."""
    y, x = np.mgrid[-HALF : HALF + 1, -HALF : HALF + 1] / PIXELS
    a = math.radians(turn)
    along, across = x * math.sin(a) - y * math.cos(a), x * math.cos(a) + y * math.sin(a)
    bar = (np.abs(across) < 0.08) & (np.abs(along) < 0.9) & ((along > 0.2) | (ends == 2))
    out = 3.0 + 1.5 * bar + light * (x + 0.5 * y)
    return (out + np.random.default_rng(3).normal(0, 1, out.shape) * noise).astype(np.float32)


def second(before: NDArray[Any], after: NDArray[Any]) -> Second:
    def free(places: NDArray[Any]) -> NDArray[Any]:
        return np.ones(places.shape[:-1], bool)

    def look(right: float, down: float) -> NDArray[Any]:
        steps = (-round(down * PIXELS), -round(right * PIXELS))
        return np.roll(after, steps, axis=(0, 1))

    return second_look(before, look, (free, free), BURNT)


@pytest.mark.parametrize("turn", [-170.0, -35.0, 0.0, 12.0, 90.0])
def test_a_mark_is_found_where_it_has_turned_to(turn: float) -> None:
    found = second(patch(20.0), patch(20.0 + turn, light=0.4, noise=0.15))
    assert (found.turn - turn + 180) % 360 - 180 == pytest.approx(0, abs=2.0)
    assert found.clear > 0.6


def test_what_is_alike_at_both_ends_is_clear_at_neither() -> None:
    assert second(patch(20.0, ends=2), patch(65.0, ends=2)).clear < 0.1


def test_a_cap_without_a_mark_says_nothing() -> None:
    even = np.full((2 * HALF + 1,) * 2, 3.0, np.float32)
    assert second(even, patch(20.0)) == Second()


def test_what_is_burnt_out_is_no_mark() -> None:
    burnt = patch(140.0)
    burnt[burnt > 4.0] = BURNT + 1.0
    assert second(patch(20.0), burnt).clear < 0.6


FOUND = Found(
    turn=30.0,
    alike=0.75,
    ahead=0.4,
    shown=1.0,
    long=0.2,
    place=(100.0, 100.0),
    beside=0.02,
    shift=(0.0, 0.0),
    pixels=40.0,
    aspect=0.9,
    bright=0.0,
    contrast=80.0,
    sided=0.5,
    spread=3.0,
    is_round=True,
    second=31.0,
    clear=0.8,
    fellows=0.9,
)


def test_a_turn_that_the_mark_alone_does_not_say_is_not_told() -> None:
    assert reason_for(FOUND, pair=False) is None
    assert reason_for(replace(FOUND, second=45.0), pair=False) == Reason.NO_MARK
    assert reason_for(replace(FOUND, clear=0.2), pair=False) == Reason.NO_MARK


@pytest.mark.parametrize(
    "worse",
    [{"ahead": 0.2}, {"clear": 0.6}, {"second": 36.0}, {"spread": 5.0}],
    ids=["ahead", "clear", "apart", "spread"],
)
def test_what_both_looks_say_is_doubted_more_for_each_that_speaks_against_it(
    worse: dict[str, float],
) -> None:
    limits = LIMITS.mark
    assert doubt_of(replace(FOUND, **worse), limits) > doubt_of(FOUND, limits)


def test_what_one_look_leaves_open_the_other_may_make_up_for() -> None:
    """Half as far ahead, it is told where the mark alone is clear, and the other way round."""
    unclear = replace(FOUND, clear=0.3, second=30.0)
    assert reason_for(unclear, pair=False) == Reason.NO_MARK
    assert reason_for(replace(unclear, ahead=1.2, spread=1.5), pair=False) is None
    assert reason_for(replace(unclear, clear=0.9), pair=False) is None
    # Not where another turn explains nearly as much, and less so where the turn is not sharp.
    little = replace(FOUND, ahead=0.2, clear=0.95, second=30.0)
    assert reason_for(little, pair=False) is None
    assert reason_for(replace(little, spread=4.5), pair=False) == Reason.NO_MARK
    assert reason_for(replace(little, ahead=0.1, spread=1.5), pair=False) == Reason.NO_MARK


def test_a_cap_whose_fellows_are_not_where_they_were_looked_for_is_not_told() -> None:
    sure = replace(FOUND, alike=0.9, ahead=0.9)
    assert reason_for(sure, pair=False) is None
    assert reason_for(replace(sure, fellows=0.4), pair=False) == Reason.NO_CAP
    # One that would itself be elsewhere is of another height.
    assert reason_for(replace(sure, strain=2.5), pair=False) == Reason.LOOSE
    assert reason_for(replace(sure, moved=0.2), pair=False) == Reason.LOOSE


def test_a_cap_that_is_very_much_alike_tells_for_itself() -> None:
    alone = replace(FOUND, alike=0.97, ahead=1.5, fellows=0.3, strain=2.5, moved=0.2)
    assert reason_for(alone, pair=False) is None
    assert reason_for(replace(alone, strain=5.0), pair=False) == Reason.LOOSE
    # A dot fits wherever it is as far from the middle.
    assert reason_for(replace(alone, long=0.08), pair=False) == Reason.DOT


def test_a_dot_is_told_only_where_its_middle_is_known_well() -> None:
    dot = replace(FOUND, alike=0.97, ahead=1.5, long=0.08, spread=3.0, moved=0.06, many=4)
    assert reason_for(dot, pair=False) is None
    assert reason_for(replace(dot, moved=0.1), pair=False) == Reason.DOT
    # No other of its make confirms where an only one is.
    assert reason_for(replace(dot, many=1), pair=False) == Reason.DOT
    assert reason_for(replace(dot, moved=0.1, long=0.2), pair=False) is None


def test_a_ring_about_another_cap_is_told_by_its_mark() -> None:
    ring = replace(FOUND, alike=0.7, ahead=-0.1, second=31.0, clear=0.9)
    assert reason_for(ring, pair=True) is None
    assert reason_for(replace(ring, alike=0.5), pair=True) == Reason.NO_CAP
    assert reason_for(replace(ring, ahead=0.6, clear=0.7), pair=True) == Reason.NO_MARK
    assert reason_for(replace(ring, second=45.0), pair=True) == Reason.NO_MARK
    assert reason_for(replace(ring, shown=0.2), pair=True) == Reason.COVERED


def test_a_cap_and_the_one_on_it_are_told_only_where_the_places_of_both_are_sure() -> None:
    upper = replace(FOUND, alike=0.9, ahead=0.8, high=True, above=0.8, against=0.1, many=1)
    ring = replace(upper, high=False, clear=0.9)
    for each, pair in ((upper, False), (ring, True)):
        assert reason_for(each, pair=pair) is None
        # One looked for as high as the other finds the other's mark, and is much like it.
        assert reason_for(replace(each, above=-0.2), pair=pair) == Reason.LOOSE
        assert reason_for(replace(each, above=1.6), pair=pair) == Reason.LOOSE
        assert reason_for(replace(each, against=0.5), pair=pair) == Reason.LOOSE
        assert reason_for(replace(each, moved=0.2, alike=0.97), pair=pair) == Reason.LOOSE
        # Where others of its make are there, too, they say the same of its height.
        assert reason_for(replace(each, against=0.3), pair=pair) == Reason.LOOSE
        assert reason_for(replace(each, against=0.3, many=3), pair=pair) is None


def test_a_pair_is_as_doubtful_as_the_worse_of_both() -> None:
    circles = [Circle(50.0, 50.0, 20.0, 0.6), Circle(50.0, 50.0, 12.0, high=True)]
    circles.append(Circle(150.0, 50.0, 20.0))
    found = [replace(FOUND, against=against) for against in (0.3, 0.0, 0.1)]
    vote = Vote([np.zeros(2)] * 3, [24.0, 40.0, 24.0], np.zeros(3), 0.0)
    ring, upper, other = on_one_axis(found, circles, [1, None, None], vote)
    assert (ring.above, upper.above, other.above) == (0.8, 0.8, None)
    assert (ring.against, upper.against, other.against) == (0.3, 0.3, 0.1)


def test_of_a_cap_that_is_its_own_pointer_the_first_look_says_more() -> None:
    beak = replace(FOUND, is_round=False, alike=0.9, ahead=1.0, clear=0.25)
    assert reason_for(beak, pair=False) is None
    assert reason_for(replace(beak, is_round=True), pair=False) == Reason.NO_MARK
    assert reason_for(replace(beak, alike=0.5), pair=False) == Reason.NO_CAP


def test_what_lies_all_over_a_round_cap_is_no_mark() -> None:
    assert reason_for(replace(FOUND, long=0.7), pair=False) == Reason.NO_MARK


def test_what_is_alike_all_around_another_cap_speaks_for_no_turn() -> None:
    """A ring with a slope all around, and a short mark: at a wrong turn the slope is there, too."""
    side = refining.PIXELS
    y, x = np.mgrid[-side : side + 1, -side : side + 1] / side

    def ring(turn: float) -> NDArray[Any]:
        a = math.radians(turn)
        along, across = x * math.sin(a) - y * math.cos(a), x * math.cos(a) + y * math.sin(a)
        slope = 1.5 * np.clip((0.8 - np.hypot(x, y)) / 0.15, 0, 1)
        return (3.0 + slope + ((np.abs(across) < 0.07) & (along > 0.6))).astype(np.float32)

    def free(places: NDArray[Any], turned: NDArray[Any]) -> NDArray[Any]:
        return np.hypot(*places.T) > 0.6

    def look(centre: Any, slope: Any) -> NDArray[Any]:
        # The photo, turned by 90°, as it is seen by whoever has turned by `slope`.
        by = math.degrees(math.atan2(slope[1, 0], slope[0, 0]))
        return ring(90.0 - by)

    template = refining.Template.of(ring(0.0), np.ones(x.shape, bool), 0.6)
    where = refining.Expected(np.zeros(2), 0.02, BURNT)
    right, wrong = (
        refining.refined(template, look, (np.zeros(2), np.eye(2) * side, turn), free, where)
        for turn in (90.0, 0.0)
    )
    assert right.turn == pytest.approx(90.0, abs=1.0)
    assert right.alike.max() > 0.95
    assert wrong.alike.max() < 0.3
