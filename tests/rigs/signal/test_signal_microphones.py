"""Microphone figures against closed forms."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import constants

from rigs.signal import microphones


# Closed form.
@pytest.mark.parametrize(
    ("volts_per_pascal", "level"),
    [(1e-3, -60.0), (2e-3, -53.979), (20e-3, -33.979), (1.9953e-3, -54.0)],
)
def test_sensitivity_forms(volts_per_pascal: float, level: float) -> None:
    assert microphones.sensitivity_db(volts_per_pascal) == pytest.approx(level, abs=0.005)
    assert microphones.sensitivity_from_db(level) == pytest.approx(volts_per_pascal, rel=1e-4)


# Closed form.
@pytest.mark.parametrize(
    ("sensitivity", "spl", "dbv", "dbu"),
    [(2e-3, 100, -47.959, -45.740), (20e-3, 130, 2.041, 4.260)],
)
def test_output_at_a_level(sensitivity: float, spl: float, dbv: float, dbu: float) -> None:
    assert microphones.output_dbv(spl, sensitivity) == pytest.approx(dbv, abs=0.005)
    assert microphones.output_dbu(spl, sensitivity) == pytest.approx(dbu, abs=0.005)


def test_gain_to_plus_4_dbu() -> None:
    # Closed form: 2 mV/Pa at 100 dB SPL.
    level = microphones.output_dbu(100, 2e-3)
    assert microphones.gain_needed(level, 4) == pytest.approx(49.740, abs=0.005)


def test_self_noise() -> None:
    # Idea of IEC 60268-4, closed form; makers round 93.98 to 94.
    assert microphones.self_noise_snr(15) == pytest.approx(78.98, abs=0.005)
    assert microphones.self_noise_snr(15, 94) == 79


def test_thermal_noise_of_150_ohm() -> None:
    # 4kTRB with k from CODATA, closed form: 0.2192 uV, -130.96 dBu.
    volts = microphones.thermal_noise_volts(150, 20e3)
    assert volts == pytest.approx(0.2192e-6, rel=1e-3)
    assert 20 * np.log10(volts / 0.774597) == pytest.approx(-130.96, abs=0.005)


def test_boltzmann_is_that_of_scipy() -> None:
    assert constants.k == microphones.BOLTZMANN


def test_input_noise_is_lifted_by_the_gain() -> None:
    # Closed form.
    assert microphones.output_noise_dbu(-128, 40) == -88


@given(spl=st.floats(0, 170), more=st.floats(0, 40), sensitivity=st.floats(1e-4, 0.1))
def test_gain_brings_the_output_to_target(spl: float, more: float, sensitivity: float) -> None:
    level = microphones.output_dbu(spl, sensitivity)
    assert level + microphones.gain_needed(level, 4) == pytest.approx(4)
    assert microphones.output_dbu(spl + more, sensitivity) >= level


def test_vector_equals_scalars() -> None:
    spl = np.array([60.0, 94.0, 130.0])
    many = microphones.output_dbu(spl, 2e-3)
    assert many.tolist() == [microphones.output_dbu(float(x), 2e-3) for x in spl]


def test_nonsense_is_refused() -> None:
    with pytest.raises(ValueError, match="^volts_per_pascal must be above 0, got 0$"):
        microphones.output_dbu(94, 0)
    with pytest.raises(ValueError, match=r"^bandwidth must be above 0, got -1\.0$"):
        microphones.thermal_noise_volts(150, -1.0)
    with pytest.raises(ValueError, match="^spl must be from -1000 to 1000 dB, got nan$"):
        microphones.output_dbv(float("nan"), 2e-3)
