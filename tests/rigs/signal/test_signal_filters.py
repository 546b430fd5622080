"""Filter magnitudes against closed forms and scipy's analogue prototypes."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import signal

from rigs.signal import filters

FREQUENCIES = st.floats(10, 24000)
ORDERS = st.integers(1, 8)
KINDS = st.sampled_from(["highpass", "lowpass"])

# Closed form, checked against scipy when it was written down: gain at fc/4 fc/2 fc 2fc 4fc.
TABLE = {
    6: [-12.3045, -6.9897, -3.0103, -0.9691, -0.2633],
    12: [-24.0993, -12.3045, -3.0103, -0.2633, -0.0169],
    18: [-36.1247, -18.1291, -3.0103, -0.0673, -0.0011],
    24: [-48.1649, -24.0993, -3.0103, -0.0169, -0.0001],
}
LR24 = [-48.1987, -24.6090, -6.0206, -0.5266, -0.0339]
AROUND = 100 * np.array([0.25, 0.5, 1, 2, 4])


@pytest.mark.parametrize("slope", TABLE)
def test_butterworth_slopes(slope: int) -> None:
    order = filters.order_from_slope(slope)
    high = filters.butterworth_db(AROUND, 100, order)
    low = filters.butterworth_db(AROUND, 100, order, "lowpass")
    assert high == pytest.approx(TABLE[slope], abs=5e-4)
    assert low[::-1] == pytest.approx(TABLE[slope], abs=5e-4)


def test_linkwitz_riley_24() -> None:
    assert filters.linkwitz_riley_db(AROUND, 100) == pytest.approx(LR24, abs=5e-4)
    low = filters.linkwitz_riley_db(AROUND, 100, kind="lowpass")
    assert low[::-1] == pytest.approx(LR24, abs=5e-4)


@pytest.mark.parametrize("kind", ["highpass", "lowpass"])
@pytest.mark.parametrize("order", range(1, 9))
def test_butterworth_against_scipy(order: int, kind: filters.Kind) -> None:
    grid = np.geomspace(20, 20e3, 50)
    b, a = signal.butter(order, 2 * np.pi * 80, kind, analog=True)
    _, h = signal.freqs(b, a, 2 * np.pi * grid)
    assert filters.butterworth_db(grid, 80, order, kind) == pytest.approx(
        20 * np.log10(np.abs(h)), abs=1e-8
    )


def test_linkwitz_riley_halves_sum_flat_in_scipy() -> None:
    # In phase at every frequency for the fourth order, so amplitudes add to 1.
    grid = np.geomspace(20, 20e3, 50)
    low, high = (filters.linkwitz_riley_db(grid, 800, 4, k) for k in ("lowpass", "highpass"))
    assert 10 ** (low / 20) + 10 ** (high / 20) == pytest.approx(np.ones(50), abs=1e-12)


@given(f=FREQUENCIES, loss=st.floats(0.01, 100), order=ORDERS, kind=KINDS)
def test_corner_for_loss_costs_that_loss(f, loss, order, kind) -> None:
    corner = filters.corner_for_loss(f, loss, order, kind)
    assert filters.butterworth_db(f, corner, order, kind) == pytest.approx(-loss, rel=1e-6)


@given(f=FREQUENCIES, corner=FREQUENCIES, order=ORDERS)
def test_mirror_and_monotony(f: float, corner: float, order: int) -> None:
    high = filters.butterworth_db(f, corner, order)
    assert high == pytest.approx(filters.butterworth_db(corner, f, order, "lowpass"), abs=1e-9)
    assert high <= filters.butterworth_db(f * 2, corner, order) <= 0


@given(f=FREQUENCIES, corner=FREQUENCIES, order=ORDERS)
def test_powers_of_high_and_low_make_one(f: float, corner: float, order: int) -> None:
    parts = [filters.butterworth_db(f, corner, order, k) for k in ("highpass", "lowpass")]
    assert sum(10 ** (part / 10) for part in parts) == pytest.approx(1)


def test_vector_equals_scalars() -> None:
    many = filters.butterworth_db(AROUND, 100, 3)
    assert many.tolist() == [filters.butterworth_db(float(f), 100, 3) for f in AROUND]


def test_far_in_the_stop_band_stays_finite() -> None:
    assert filters.butterworth_db(1e-30, 1e30, 8) == pytest.approx(-9600)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: filters.butterworth_db(0, 80, 2), "frequency must be above 0, got 0"),
        (lambda: filters.butterworth_db(80, -1, 2), "corner must be above 0, got -1"),
        (lambda: filters.butterworth_db(80, 80, 9), "order must be from 1 to 8, got 9"),
        (lambda: filters.butterworth_db(80, 80, 1.5), "order must be a whole number, got 1.5"),
        (
            lambda: filters.butterworth_db(80, 80, 2, "bandpass"),
            "kind must be highpass or lowpass, got 'bandpass'",
        ),
        (
            lambda: filters.linkwitz_riley_db(80, 80, 3),
            "order must be even for this alignment, got 3",
        ),
        (
            lambda: filters.order_from_slope(10),
            "db_per_octave must be 6, 12, 18 and so on to 48, got 10",
        ),
        (lambda: filters.order_from_slope(0), "db_per_octave must be above 0, got 0"),
        (lambda: filters.corner_for_loss(80, 0, 2), "loss_db must be above 0, got 0"),
        (lambda: filters.corner_for_loss(80, 301, 2), "loss_db must be at most 300 dB, got 301"),
    ],
)
def test_nonsense_is_refused(call, message: str) -> None:
    with pytest.raises(ValueError) as refused:
        call()
    assert str(refused.value) == message
