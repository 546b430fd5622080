"""Membrane modes against scipy's Bessel zeros and a printed table of ratios."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import jn_zeros

from rigs.signal import drums

# (m, n), zero, ratio: closed form, scipy.special.jn_zeros.
MODES = [
    (0, 1, 2.40483, 1.0000),
    (1, 1, 3.83171, 1.5933),
    (2, 1, 5.13562, 2.1355),
    (0, 2, 5.52008, 2.2954),
    (3, 1, 6.38016, 2.6531),
    (1, 2, 7.01559, 2.9173),
    (4, 1, 7.58834, 3.1555),
    (2, 2, 8.41724, 3.5001),
    (0, 3, 8.65373, 3.5985),
    (5, 1, 8.77148, 3.6475),
    (3, 2, 9.76102, 4.0589),
    (6, 1, 9.93611, 4.1317),
    (1, 3, 10.17347, 4.2304),
    (4, 2, 11.06471, 4.6010),
]
# Ratios some texts print, from memory.
TEXTS = [(1, 1, 1.594), (2, 1, 2.136), (0, 2, 2.296), (3, 1, 2.653), (1, 2, 2.918)]


@pytest.mark.parametrize(("m", "n", "zero", "ratio"), MODES)
def test_modes(m: int, n: int, zero: float, ratio: float) -> None:
    assert drums.bessel_zero(m, n) == pytest.approx(zero, abs=1e-5)
    assert drums.mode_ratio(m, n) == pytest.approx(ratio, abs=1e-4)


@pytest.mark.parametrize(("m", "n", "ratio"), TEXTS)
def test_ratios_texts_print(m: int, n: int, ratio: float) -> None:
    assert drums.mode_ratio(m, n) == pytest.approx(ratio, abs=1e-3)


@pytest.mark.parametrize("m", range(drums.MOST_DIAMETERS + 1))
def test_every_zero_against_scipy(m: int) -> None:
    found = [drums.bessel_zero(m, n + 1) for n in range(drums.MOST_CIRCLES)]
    assert found == pytest.approx(jn_zeros(m, drums.MOST_CIRCLES), rel=1e-12)


def test_membrane_by_hand() -> None:
    # 2.40483 / (2 pi 0.1778) sqrt(1000 / 0.26), worked with a calculator.
    assert drums.membrane_frequency(1000, 0.1778, 0.26) == pytest.approx(133.50, abs=0.01)


@given(tension=st.floats(100, 1e4), radius=st.floats(0.1, 0.4), density=st.floats(0.1, 1))
def test_pitch_goes_with_the_root_of_tension(tension, radius, density) -> None:
    base = drums.membrane_frequency(tension, radius, density)
    assert drums.membrane_frequency(4 * tension, radius, density) == pytest.approx(2 * base)
    assert drums.membrane_frequency(tension, 2 * radius, density) == pytest.approx(base / 2)
    second = drums.membrane_frequency(tension, radius, density, 1, 1)
    assert second / base == pytest.approx(drums.mode_ratio(1, 1))


def test_kit_intervals() -> None:
    # By hand: an octave down, a fifth (3:2) up, which is 7.01955 semitones.
    assert drums.kit_intervals([200, 100, 150]) == pytest.approx([-12, 7.01955], abs=1e-5)


def test_vector_equals_scalars() -> None:
    pulls = np.array([500.0, 1000.0, 2000.0])
    many = drums.membrane_frequency(pulls, 0.2, 0.3)
    assert many == pytest.approx([drums.membrane_frequency(float(t), 0.2, 0.3) for t in pulls])


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: drums.bessel_zero(13, 1), "diameters must be from 0 to 12, got 13"),
        (lambda: drums.mode_ratio(0, 0), "circles must be from 1 to 8, got 0"),
        (lambda: drums.mode_ratio(0.5, 1), "diameters must be a whole number, got 0.5"),
        (lambda: drums.membrane_frequency(0, 0.2, 0.3), "tension must be above 0, got 0"),
        (lambda: drums.membrane_frequency(1, math.nan, 0.3), "radius must be above 0, got nan"),
        (lambda: drums.kit_intervals([100]), "frequencies must name at least two drums, got [100]"),
        (lambda: drums.kit_intervals([100, 0]), "frequency_to must be above 0, got 0"),
    ],
)
def test_nonsense_is_refused(call, message: str) -> None:
    with pytest.raises(ValueError) as refused:
        call()
    assert str(refused.value) == message
