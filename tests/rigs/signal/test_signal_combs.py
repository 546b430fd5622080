"""Combs of two paths: closed forms, and numpy's FFT of two impulses."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigs.signal import combs


# Closed form at 343.2 m/s.
@pytest.mark.parametrize(
    ("metres", "null_1", "null_2", "peak_1"),
    [
        (0.1, 1716.00, 5148.00, 3432.00),
        (0.343, 500.29, 1500.87, 1000.58),
        (0.5, 343.20, 1029.60, 686.40),
        (1, 171.60, 514.80, 343.20),
        (2, 85.80, 257.40, 171.60),
        (3.432, 50.00, 150.00, 100.00),
    ],
)
def test_nulls_and_peaks(metres: float, null_1: float, null_2: float, peak_1: float) -> None:
    tau = metres / 343.2
    assert combs.nulls(tau)[:2] == pytest.approx([null_1, null_2], abs=0.01)
    assert combs.peaks(tau)[0] == pytest.approx(peak_1, abs=0.01)


def test_inverted_swaps_them() -> None:
    assert combs.nulls(0.01, 300, inverted=True).tolist() == [100, 200, 300]
    assert combs.peaks(0.01, 300, inverted=True).tolist() == [50, 150, 250]


def test_highest_is_included_and_nothing_beyond_it() -> None:
    assert combs.nulls(0.01, 150).tolist() == [50, 150]
    assert combs.nulls(0.01, 149.9).tolist() == [50]
    assert combs.nulls(0.01, 49).tolist() == []


# Closed form.
@pytest.mark.parametrize(
    ("difference", "peak", "null", "ripple"),
    [
        (1, 5.535, -19.271, 24.806),
        (3, 4.649, -10.691, 15.340),
        (6, 3.529, -6.041, 9.570),
        (9.5424, 2.499, -3.522, 6.021),
        (10, 2.387, -3.302, 5.688),
        (12, 1.946, -2.513, 4.459),
        (20, 0.828, -0.915, 1.743),
        (-6, 3.529, -6.041, 9.570),
    ],
)
def test_ripple(difference: float, peak: float, null: float, ripple: float) -> None:
    found = combs.ripple(difference)
    assert (found.peak_db, found.null_db) == pytest.approx((peak, null), abs=6e-4)
    assert found.ripple_db == pytest.approx(ripple, abs=6e-4)


def test_equal_paths_cancel() -> None:
    found = combs.ripple(0)
    assert found.peak_db == pytest.approx(6.0206, abs=1e-4)
    assert (found.null_db, found.ripple_db) == (-math.inf, math.inf)
    assert combs.response_db(0.0, 0.001, inverted=True) == -math.inf


@pytest.mark.parametrize("inverted", [False, True])
def test_response_against_the_spectrum_of_two_impulses(inverted: bool) -> None:
    # Independent judge: numpy's FFT of an impulse and a second one 48 samples later, 6 dB down.
    pulses = np.zeros(4800)
    pulses[0], pulses[48] = 1, (-1 if inverted else 1) * 10 ** (-6 / 20)
    frequency = np.fft.rfftfreq(4800, 1 / 48000)
    expected = 20 * np.log10(np.abs(np.fft.rfft(pulses)))
    assert combs.response_db(frequency, 1e-3, 6, inverted) == pytest.approx(expected, abs=1e-9)


@given(delay=st.floats(1e-4, 0.1), difference=st.floats(0.5, 60), inverted=st.booleans())
def test_response_reaches_its_ripple(delay: float, difference: float, inverted: bool) -> None:
    bounds = combs.ripple(difference)
    null, peak = combs.nulls(delay, 2e4, inverted)[0], combs.peaks(delay, 2e4, inverted)[0]
    at = combs.response_db(np.array([null, peak]), delay, difference, inverted)
    assert at == pytest.approx([bounds.null_db, bounds.peak_db], abs=1e-6)


@given(difference=st.floats(0.1, 100), more=st.floats(0.1, 50))
def test_a_weaker_second_path_ripples_less(difference: float, more: float) -> None:
    assert combs.ripple(difference + more).ripple_db < combs.ripple(difference).ripple_db


def test_vector_equals_scalars() -> None:
    grid = np.array([0.0, 100.0, 3000.0])
    many = combs.response_db(grid, 1e-3, 3)
    assert many == pytest.approx([combs.response_db(float(f), 1e-3, 3) for f in grid])


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: combs.nulls(0), "delay must be above 0, got 0"),
        (lambda: combs.peaks(-0.001), "delay must be above 0, got -0.001"),
        (lambda: combs.nulls(2.0), "delay must be from 0 to 1 s, got 2.0"),
        (lambda: combs.nulls(0.01, 0), "highest must be above 0, got 0"),
        (lambda: combs.ripple(math.nan), "level_difference must be from -1000 to 1000 dB, got nan"),
        (lambda: combs.response_db(-1, 0.01), "frequency must be 0 or more, got -1"),
    ],
)
def test_nonsense_is_refused(call, message: str) -> None:
    with pytest.raises(ValueError) as refused:
        call()
    assert str(refused.value) == message


@pytest.mark.parametrize(("samples", "inverted"), [(16, False), (16, True), (100, True)])
def test_the_edge_of_the_lows_is_where_two_impulses_are_as_loud_as_one(
    samples: int, inverted: bool
) -> None:
    """numpy's FFT of two impulses: below the edge above 1 (alike) or below it (opposed)."""
    rate = 48_000.0
    both = np.zeros(48_000)
    both[0], both[samples] = 1.0, -1.0 if inverted else 1.0
    loud = np.abs(np.fft.rfft(both))
    over = loud > 1 + 1e-9 if not inverted else loud < 1 - 1e-9
    first_other = float(np.argmin(over))  # Hz: one bin is 1 Hz
    assert combs.lowest_edge(samples / rate, inverted) == pytest.approx(first_other, abs=1.0)
