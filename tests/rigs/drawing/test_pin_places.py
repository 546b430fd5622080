"""Discs of pins: above their spots, and never over each other where there is room."""

from __future__ import annotations

import math
from decimal import Decimal
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigs.drawing.pin_places import HEAD, NARROW, RISE, PinSpot, places

Spot = tuple[Decimal, Decimal]
FRACTIONS = st.decimals(0, 1, places=4)


def centres(spots: list[Spot], width: float, height: float) -> list[tuple[float, float]]:
    stand = places(spots, width, height)
    return [
        (float(x) * width + place.offset[0], float(y) * height + place.offset[1])
        for (x, y), place in zip(spots, stand, strict=True)
    ]


def test_a_disc_stands_above_its_spot_and_near_the_top_below() -> None:
    high, low = places(
        [(Decimal("0.5"), Decimal("0.1")), (Decimal("0.5"), Decimal("0.9"))], 358, 358
    )
    assert (high, low) == (PinSpot(180, RISE), PinSpot(0, RISE))
    # By hand: straight up is no way sideways and 22 up the page, whose y grows downwards.
    assert low.offset == (0, -22)
    assert high.offset == (pytest.approx(0), pytest.approx(22))


@pytest.mark.parametrize("size", [(358, 636), (358, 67), (358, 358)])
@pytest.mark.parametrize("count", [2, 4, 8])
def test_pins_on_one_spot_are_all_to_be_read(size: tuple[float, float], count: int) -> None:
    found = centres([(Decimal("0.5"), Decimal("0.5"))] * count, *size)
    for one, other in combinations(found, 2):
        assert math.dist(one, other) >= 2 * HEAD


@given(st.lists(st.tuples(FRACTIONS, FRACTIONS), max_size=12))
def test_discs_do_not_overlap_wherever_the_pins_are(spots: list[Spot]) -> None:
    found = centres(spots, NARROW, NARROW)
    for one, other in combinations(found, 2):
        assert math.dist(one, other) >= 2 * HEAD


@given(st.lists(st.tuples(FRACTIONS, FRACTIONS), max_size=30))
def test_every_pin_has_a_place_near_its_spot(spots: list[Spot]) -> None:
    stand = places(spots, NARROW, NARROW)
    assert len(stand) == len(spots)
    assert all(RISE <= place.rise <= 6 * 2 * HEAD for place in stand)


@given(st.tuples(FRACTIONS, FRACTIONS))
def test_one_pin_needs_no_way_round(spot: Spot) -> None:
    assert places([spot], NARROW, NARROW)[0].angle in (0, 180)
