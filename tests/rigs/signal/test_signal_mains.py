"""Mains sums against closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigs.signal import mains
from rigs.signal.mains import MainsLoad

LOADS = st.lists(st.builds(MainsLoad, st.floats(0, 5000), st.floats(0.3, 1)), max_size=8)


# Closed form.
@pytest.mark.parametrize(
    ("loads", "at_120", "at_230"),
    [
        ([MainsLoad(1000)], 8.333, 4.348),
        ([MainsLoad(600), MainsLoad(450), MainsLoad(300)], 11.250, 5.870),
        ([MainsLoad(1350, 0.7)], 16.071, 8.385),
        ([], 0, 0),
    ],
)
def test_single_phase(loads: list[MainsLoad], at_120: float, at_230: float) -> None:
    assert mains.total_current(loads, 120) == pytest.approx(at_120, abs=6e-4)
    assert mains.total_current(loads, 230) == pytest.approx(at_230, abs=6e-4)


def test_three_phase() -> None:
    # Closed form: 9 kW balanced at 400 V.
    assert mains.three_phase_current(9000, 400) == pytest.approx(12.990, abs=6e-4)


def test_three_phase_is_three_single_phases() -> None:
    # Kirchhoff: a third of the power from line to neutral, 400 / sqrt(3) V.
    one = mains.total_current([MainsLoad(3000, 0.8)], 400 / math.sqrt(3))
    assert mains.three_phase_current(9000, 400, 0.8) == pytest.approx(one)


def test_supply_impedance() -> None:
    # Closed form: 230 V open, 224 V at 10 A.
    assert mains.supply_impedance(230, 224, 10) == pytest.approx(0.6)
    assert mains.voltage_drop(10, 0.6) == 6


@given(loads=LOADS, more=LOADS)
def test_currents_add(loads: list[MainsLoad], more: list[MainsLoad]) -> None:
    parts = mains.total_current(loads, 230) + mains.total_current(more, 230)
    assert mains.total_current(loads + more, 230) == pytest.approx(parts)


@given(volts=st.floats(100, 400), current=st.floats(0.1, 63), ohms=st.floats(0, 1))
def test_impedance_and_drop_are_inverse(volts: float, current: float, ohms: float) -> None:
    loaded = volts - mains.voltage_drop(current, ohms)
    assert mains.supply_impedance(volts, loaded, current) == pytest.approx(ohms, abs=1e-9)


def test_vector_equals_scalars() -> None:
    watts = np.array([0.0, 3000.0, 9000.0])
    many = mains.three_phase_current(watts, 400)
    assert many.tolist() == [mains.three_phase_current(float(w), 400) for w in watts]


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: MainsLoad(-1), "watts must be 0 or more, got -1"),
        (lambda: MainsLoad(100, 0), "power_factor must be above 0, got 0"),
        (lambda: MainsLoad(100, 1.2), "power_factor must be from 0 to 1, got 1.2"),
        (lambda: mains.total_current([], 0), "volts must be above 0, got 0"),
        (lambda: mains.three_phase_current(math.nan, 400), "watts must be 0 or more, got nan"),
        (
            lambda: mains.supply_impedance(224, 230, 10),
            "loaded_volts must be at most open_volts (224), got 230",
        ),
        (lambda: mains.supply_impedance(230, 224, 0), "current must be above 0, got 0"),
    ],
)
def test_nonsense_is_refused(call, message: str) -> None:
    with pytest.raises(ValueError) as refused:
        call()
    assert str(refused.value) == message
