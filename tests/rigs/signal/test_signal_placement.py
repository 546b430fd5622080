"""Distances, angles and arrivals: geometry by hand, scipy as a second judge."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.spatial.distance import cosine, euclidean
from scipy.special import j1

from rigs.signal import placement

METRES = st.floats(-50, 50).map(lambda x: round(x, 4))
POINTS = st.tuples(METRES, METRES, METRES)
C20 = 343.2  # m/s at 20 C, ISO 9613-1


def test_distance_by_hand() -> None:
    assert placement.distance((0, 0), (3, 4)) == 5
    assert placement.distance((1, 1, 1), (2, 3, 3)) == 3


@given(a=POINTS, b=POINTS, c=POINTS)
def test_distance_is_a_metric_and_that_of_scipy(a, b, c) -> None:
    there = placement.distance(a, b)
    assert there == placement.distance(b, a) == pytest.approx(euclidean(a, b))
    assert there <= placement.distance(a, c) + placement.distance(c, b) + 1e-9


# By hand.
@pytest.mark.parametrize(
    ("a", "b", "degrees"),
    [
        ((1, 0), (0, 2), 90),
        ((1, 0), (5, 5), 45),
        ((1, 0), (-3, 0), 180),
        ((2, 0), (9, 0), 0),
        ((1, 0, 0), (1, 0, math.sqrt(3)), 60),
    ],
)
def test_angle_by_hand(a, b, degrees: float) -> None:
    apex = (0,) * len(a)
    assert math.degrees(placement.angle_at(apex, a, b)) == pytest.approx(degrees)


@given(apex=POINTS, a=POINTS, b=POINTS)
def test_angle_against_scipy(apex, a, b) -> None:
    u, v = np.subtract(a, apex), np.subtract(b, apex)
    assume(min(np.linalg.norm(u), np.linalg.norm(v)) > 1e-3)
    found = placement.angle_at(apex, a, b)
    assert math.cos(found) == pytest.approx(1 - cosine(u, v), abs=1e-7)
    assert found == pytest.approx(placement.angle_at(apex, b, a), abs=1e-12)


# Closed form at 343.2 m/s.
@pytest.mark.parametrize(
    ("metres", "ms"),
    [(0.1, 0.2914), (0.343, 0.9994), (0.5, 1.4569), (1, 2.9138), (2, 5.8275), (3.432, 10.0)],
)
def test_arrivals(metres: float, ms: float) -> None:
    assert 1000 * placement.arrival_seconds(metres, C20) == pytest.approx(ms, abs=5e-5)
    assert 1000 * placement.arrival_difference(1, 1 + metres, C20) == pytest.approx(ms, abs=5e-5)


def test_samples() -> None:
    # By hand: 10 ms at 48 kHz; 2.8542 ms is 137 samples.
    assert placement.samples(0.010, 48000) == 480
    assert placement.samples(2.8542e-3, 48000) == pytest.approx(137, abs=0.01)


# Closed form; the 3:1 rule itself is common practice, no source.
@pytest.mark.parametrize(
    ("ratio", "drop"), [(1.5, 3.5218), (2, 6.0206), (3, 9.5424), (4, 12.0412), (10, 20.0)]
)
def test_drop_with_distance(ratio: float, drop: float) -> None:
    assert placement.distance_drop_db(0.3, 0.3 * ratio) == pytest.approx(drop, abs=5e-5)


@pytest.mark.parametrize(("other", "kept"), [(0.3, True), (0.299, False), (0.5, True)])
def test_three_to_one(other: float, kept: bool) -> None:
    # 3 x 0.1 is not 0.3 in binary: the boundary must still count.
    assert placement.keeps_distance_ratio(0.1, other) is kept


def test_pair_by_hand() -> None:
    fit = placement.pair_fit((0, 0), (0, 2.1), (0, 1), 0.1)
    assert (fit.a, fit.b) == pytest.approx((1.0, 1.1))
    assert fit.difference == pytest.approx(0.1)
    assert fit.within
    assert not placement.pair_fit((0, 0), (0, 2.1), (0, 1), 0.099).within


@given(near=st.floats(0.01, 100), far=st.floats(0.01, 100))
def test_drop_and_difference_change_sign(near: float, far: float) -> None:
    drop = placement.distance_drop_db(near, far)
    assert drop == pytest.approx(-placement.distance_drop_db(far, near))
    later = placement.arrival_difference(near, far, C20)
    assert later == pytest.approx(-placement.arrival_difference(far, near, C20))
    assert (drop >= 0) == (later >= 0)


def test_vector_equals_scalars() -> None:
    paths = np.array([0.0, 0.5, 3.0])
    many = placement.arrival_seconds(paths, C20)
    assert many.tolist() == [placement.arrival_seconds(float(p), C20) for p in paths]


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: placement.arrival_seconds(-1, C20), "path must be 0 or more, got -1"),
        (lambda: placement.arrival_seconds(1, 0), "speed must be above 0, got 0"),
        (lambda: placement.samples(1, 0), "rate must be above 0, got 0"),
        (lambda: placement.samples(math.nan, 48000), "seconds must be a finite number, got nan"),
        (lambda: placement.distance_drop_db(0, 1), "near must be above 0, got 0"),
        (lambda: placement.keeps_distance_ratio(1, -3), "other must be above 0, got -3"),
        (
            lambda: placement.distance((0, math.inf), (0, 0)),
            "points must be a finite number, got inf",
        ),
        (
            lambda: placement.distance((0, 0), (0, 0, 0)),
            "points must be two points of 2 or of 3 coordinates, got ((0, 0), (0, 0, 0))",
        ),
        (
            lambda: placement.angle_at((1, 1), (1, 1), (2, 2)),
            "points must differ from the apex, got (1, 1) twice",
        ),
        (
            lambda: placement.pair_fit((0, 0), (1, 0), (0, 1), -0.01),
            "tolerance must be 0 or more, got -0.01",
        ),
    ],
)
def test_nonsense_is_refused(call, message: str) -> None:
    with pytest.raises(ValueError) as refused:
        call()
    assert str(refused.value) == message


def test_a_piston_beams_as_scipys_bessel_function_says() -> None:
    hertz = np.geomspace(50, 12_000, 40)
    x = 2 * np.pi * hertz / C20 * 0.13 * np.sin(0.6)
    got = placement.piston_db(hertz, 0.13, 0.6, C20)
    assert got == pytest.approx(20 * np.log10(np.abs(2 * j1(x) / x)), abs=1e-6)


def test_a_piston_on_its_axis_loses_nothing_and_is_down_by_half_where_handbooks_say() -> None:
    """Half the pressure, 6 dB down, at k a sin(angle) = 2.215: handbooks, from memory."""
    assert placement.piston_db(5000.0, 0.13, 0.0, C20) == 0
    hertz = 2.215 * C20 / (2 * math.pi * 0.1)
    assert placement.piston_db(hertz, 0.1, math.pi / 2, C20) == pytest.approx(-6.02, abs=0.01)


def test_a_piston_refuses_what_lies_behind_it() -> None:
    with pytest.raises(ValueError, match="angle"):
        placement.piston_db(1000.0, 0.1, 2.0, C20)
