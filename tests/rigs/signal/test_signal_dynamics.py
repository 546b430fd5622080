"""Compressor curves, blends and pan laws against closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigs.signal import dynamics, pan
from rigs.signal.dynamics import Compressor

LEVELS = st.floats(-120, 40)
COMPRESSORS = st.builds(Compressor, st.floats(-60, 20), st.floats(1, 100), st.floats(0, 40))


# Closed form; soft knee after Giannoulis, Massberg and Reiss, JAES 60 (2012), from memory.
@pytest.mark.parametrize(
    ("level", "threshold", "ratio", "knee", "out"),
    [
        (-30, -20, 4, 0, -30.0),
        (-20, -20, 4, 0, -20.0),
        (-10, -20, 4, 0, -17.5),
        (0, -20, 4, 0, -15.0),
        (0, -20, 2, 0, -10.0),
        (-23, -20, 4, 6, -23.0),
        (-20, -20, 4, 6, -20.5625),
        (-17, -20, 4, 6, -19.25),
        (-18, -20, 4, 6, -19.5625),
        (-10, -20, 4, 6, -17.5),
    ],
)
def test_static_curve(level, threshold, ratio, knee, out) -> None:
    compressor = Compressor(threshold, ratio, knee)
    assert dynamics.compressed_db(level, compressor) == pytest.approx(out, abs=1e-9)
    assert dynamics.reduction_db(level, compressor) == pytest.approx(level - out, abs=1e-9)


# Closed form.
@pytest.mark.parametrize(("wet", "out"), [(0, 6.0206), (-6, 3.5287), (-12, 1.9465)])
def test_coherent_blend(wet: float, out: float) -> None:
    assert dynamics.blend_db(0, wet) == pytest.approx(out, abs=1e-4)


# Closed form.
@pytest.mark.parametrize(("wet", "out"), [(0, 3.0103), (-6, 0.9732)])
def test_uncorrelated_blend(wet: float, out: float) -> None:
    assert dynamics.blend_db(0, wet, coherent=False) == pytest.approx(out, abs=1e-4)


def test_parallel_by_hand() -> None:
    # -10 dB in, -17.5 out of the compressor, made up by 7.5: two equal paths, +6.02 dB.
    compressor = Compressor(-20, 4, makeup=7.5)
    assert dynamics.parallel_db(-10, compressor, 0) == pytest.approx(-10 + 6.0206, abs=1e-4)
    assert dynamics.reduction_db(-10, compressor) == pytest.approx(7.5)


@given(level=LEVELS, more=st.floats(0, 20), compressor=COMPRESSORS)
def test_curve_rises_never_above_its_input(level, more, compressor) -> None:
    low = dynamics.compressed_db(level, compressor)
    assert low <= dynamics.compressed_db(level + more, compressor) + 1e-9
    assert low <= level + 1e-9


@given(level=LEVELS, compressor=COMPRESSORS, wet=st.floats(-60, 20))
def test_parallel_lifts_quiet_more_than_loud(level, compressor, wet) -> None:
    grid = np.linspace(level - 60, level, 30)
    lift = dynamics.parallel_db(grid, compressor, wet) - grid
    assert np.all(np.diff(lift) <= 1e-9)
    assert np.all(lift >= -1e-9)


@given(a=LEVELS, b=LEVELS, coherent=st.booleans())
def test_blend_is_symmetric_and_at_least_the_louder(a: float, b: float, coherent: bool) -> None:
    out = dynamics.blend_db(a, b, coherent)
    assert out == pytest.approx(dynamics.blend_db(b, a, coherent))
    assert max(a, b) - 1e-9 <= out <= max(a, b) + 6.0206


# Common practice, no source; closed form.
@pytest.mark.parametrize(
    ("law", "x", "left", "right"),
    [
        ("-3", 0.25, -0.6877, -8.3432),
        ("-3", 0.5, -3.0103, -3.0103),
        ("-4.5", 0.25, -1.5932, -10.1922),
        ("-4.5", 0.5, -4.5154, -4.5154),
        ("-6", 0.25, -2.4988, -12.0412),
        ("-6", 0.5, -6.0206, -6.0206),
        ("-6", 0.75, -12.0412, -2.4988),
    ],
)
def test_pan_laws(law: pan.Law, x: float, left: float, right: float) -> None:
    assert pan.pan_db(x, law) == pytest.approx((left, right), abs=1e-4)


@pytest.mark.parametrize("law", ["-3", "-4.5", "-6"])
def test_hard_panned_sides_are_silent(law: pan.Law) -> None:
    assert pan.pan_db(0, law) == (0, -math.inf)
    assert pan.pan_db(1, law) == (-math.inf, 0)


@given(x=st.floats(0.01, 0.99), law=st.sampled_from(["-3", "-4.5", "-6"]))
def test_pan_is_symmetric(x: float, law: pan.Law) -> None:
    left, right = pan.pan_db(x, law)
    assert pan.pan_db(1 - x, law) == pytest.approx((right, left))


@given(x=st.floats(0.01, 0.99))
def test_what_each_law_keeps_constant(x: float) -> None:
    power = sum(10 ** (side / 10) for side in pan.pan_db(x, "-3"))
    amplitude = sum(10 ** (side / 20) for side in pan.pan_db(x, "-6"))
    assert (power, amplitude) == pytest.approx((1, 1))


def test_vector_equals_scalars() -> None:
    grid, compressor = np.array([-40.0, -21.0, -5.0]), Compressor(-20, 3, 8)
    many = dynamics.parallel_db(grid, compressor, -6)
    assert many == pytest.approx([dynamics.parallel_db(float(x), compressor, -6) for x in grid])
    left, right = pan.pan_db(np.array([0.2, 0.7]))
    assert (left[1], right[1]) == pan.pan_db(0.7)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: Compressor(-20, 0.5), "ratio must be 1 or more, got 0.5"),
        (lambda: Compressor(-20, math.nan), "ratio must be 0 or more, got nan"),
        (lambda: Compressor(-20, 4, -1), "knee must be from 0 to 1000 dB, got -1"),
        (lambda: Compressor(math.inf, 4), "threshold must be from -1000 to 1000 dB, got inf"),
        (
            lambda: dynamics.compressed_db(math.nan, Compressor(-20, 4)),
            "level must be from -1000 to 1000 dB, got nan",
        ),
        (lambda: pan.pan_db(1.1), "position must be from 0 to 1, got 1.1"),
        (lambda: pan.pan_db(0.5, "-2"), "law must be -3, -4.5 or -6, got '-2'"),
    ],
)
def test_nonsense_is_refused(call, message: str) -> None:
    with pytest.raises(ValueError) as refused:
        call()
    assert str(refused.value) == message
