"""Air against ISO 9613-2's printed table and an independent acoustics library."""

from __future__ import annotations

from types import ModuleType

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigs.signal import air
from rigs.signal.air import Air

DAYS = st.builds(Air, st.floats(-20, 50), st.floats(0, 100), st.floats(50e3, 200e3))

# dB/km, 63 Hz to 8 kHz. Printed: ISO 9613-2:1996 Table 2, by transcriptions that agree; the
# printed standard was not opened. Its tolerance here: 0.06 dB/km or 1.5 %.
PRINTED = {
    (10, 70): [0.1, 0.4, 1, 1.9, 3.7, 9.7, 32.8, 117],
    (20, 70): [0.1, 0.3, 1.1, 2.8, 5, 9, 22.9, 76.6],
    (15, 20): [0.3, 0.6, 1.2, 2.7, 8.2, 28.2, 88.8, 202],
    (15, 50): [0.1, 0.5, 1.2, 2.2, 4.2, 10.8, 36.2, 129],
}
# Computed by acoustic_toolbox 0.2.2 at the exact midbands.
COMPUTED = {
    (10, 70): [0.1217, 0.411, 1.043, 1.928, 3.658, 9.664, 32.77, 116.9],
    (20, 70): [0.08969, 0.3395, 1.132, 2.798, 4.978, 9.016, 22.91, 76.62],
    (15, 20): [0.2724, 0.6469, 1.221, 2.704, 8.166, 28.19, 88.79, 201.8],
    (15, 50): [0.1416, 0.4789, 1.217, 2.236, 4.164, 10.79, 36.22, 128.6],
}


@pytest.mark.parametrize("day", PRINTED)
def test_absorption_against_the_printed_table(day: tuple[int, int]) -> None:
    found = list(air.band_losses(1000, Air(*day)).values())
    for value, printed in zip(found, PRINTED[day], strict=True):
        assert value == pytest.approx(printed, abs=0.06, rel=0.015)


@pytest.mark.parametrize("day", COMPUTED)
def test_absorption_against_computed_figures(day: tuple[int, int]) -> None:
    found = list(air.band_losses(1000, Air(*day)).values())
    assert found == pytest.approx(COMPUTED[day], rel=5e-4)


@pytest.fixture(scope="module")
def iso() -> ModuleType:
    """Imported once and apart: it takes seconds, which is no example's fault."""
    return pytest.importorskip("acoustic_toolbox.standards.iso_9613_1_1993")


@given(day=DAYS)
def test_absorption_against_an_acoustics_library(iso: ModuleType, day: Air) -> None:
    kelvin = day.celsius + 273.15
    saturation = iso.saturation_pressure(kelvin)
    water = iso.molar_concentration_water_vapour(day.humidity, saturation, day.pascals / 1000)
    oxygen = iso.relaxation_frequency_oxygen(day.pascals / 1000, water)
    nitrogen = iso.relaxation_frequency_nitrogen(day.pascals / 1000, kelvin, water)
    grid = np.array([50.0, 440.0, 3981.0, 10e3])
    expected = iso.attenuation_coefficient(
        day.pascals / 1000, kelvin, 101.325, 293.15, nitrogen, oxygen, grid
    )
    assert air.molar_concentration(day) == pytest.approx(water, rel=1e-9)
    assert air.absorption(grid, day) == pytest.approx(expected, rel=1e-9)


def test_midbands_of_an_acoustics_library() -> None:
    bands = pytest.importorskip("acoustic_toolbox.standards.iec_61260_1_2014")
    exact = bands.exact_center_frequency(np.arange(-4, 4), fraction=1)
    assert list(air.OCTAVE_BANDS.values()) == pytest.approx(exact, rel=1e-4)


# ISO 9613-1 form by closed form; the 0.606 t rule and Cramer (JASA 93, 1993, coefficients from
# memory, unverified, dry) within half a metre per second.
@pytest.mark.parametrize(
    ("celsius", "iso", "rule", "cramer", "ms_per_metre", "ms_at_41"),
    [
        (0, 331.286, 331.30, 331.45, 3.0185, 123.760),
        (10, 337.296, 337.36, 337.47, 2.9648, 121.555),
        (20, 343.200, 343.42, 343.37, 2.9138, 119.464),
        (30, 349.005, 349.48, 349.16, 2.8653, 117.477),
    ],
)
def test_speed_and_delay(celsius, iso, rule, cramer, ms_per_metre, ms_at_41) -> None:
    found = air.speed_of_sound(celsius)
    assert found == pytest.approx(iso, abs=1e-3)
    assert [found, found] == pytest.approx([rule, cramer], abs=0.5)
    assert 1000 * air.delay_seconds(1, celsius) == pytest.approx(ms_per_metre, abs=1e-4)
    assert 1000 * air.delay_seconds(41, celsius) == pytest.approx(ms_at_41, abs=1e-3)


@given(day=DAYS, near=st.floats(0, 200), more=st.floats(0, 200))
def test_farther_loses_more_and_loss_is_additive(day: Air, near: float, more: float) -> None:
    whole = air.loss_db(4000, near + more, day)
    assert whole == pytest.approx(air.loss_db(4000, near, day) + air.loss_db(4000, more, day))
    assert whole >= air.loss_db(4000, near, day) >= 0


@given(day=DAYS)
def test_higher_notes_lose_more(day: Air) -> None:
    found = list(air.band_losses(41, day).values())
    assert found == sorted(found)


def test_drier_day_takes_the_top_from_the_mix() -> None:
    # ISO 9613-2 printed rows at 15 C: 129 dB/km at 50 %, 202 dB/km at 20 %, over 50 m.
    change = air.band_changes(50, Air(15, 50), 50, Air(15, 20))
    assert change["8k"] == pytest.approx((129 - 202) * 0.05, abs=0.06)
    assert list(change) == ["63", "125", "250", "500", "1k", "2k", "4k", "8k"]


@given(one=DAYS, other=DAYS)
def test_changes_reverse(one: Air, other: Air) -> None:
    there, back = air.band_changes(10, one, 41, other), air.band_changes(41, other, 10, one)
    assert list(there.values()) == pytest.approx([-value for value in back.values()])


def test_vector_equals_scalars() -> None:
    grid, day = np.array([63.0, 1000.0, 8000.0]), Air(12, 64)
    many = air.absorption(grid, day)
    assert many == pytest.approx([air.absorption(float(f), day) for f in grid], rel=1e-12)
    temperatures = np.array([-20.0, 20.0, 50.0])
    assert air.speed_of_sound(temperatures)[1] == air.speed_of_sound(20)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: Air(70, 50), "celsius must be from -20 to 50 C, got 70"),
        (lambda: Air(20, 101), "humidity must be from 0 to 100 %, got 101"),
        (lambda: Air(20, 50, 1013), "pascals must be from 50000 to 200000 Pa, got 1013"),
        (lambda: Air(float("nan"), 50), "celsius must be from -20 to 50 C, got nan"),
        (lambda: air.speed_of_sound(-300), "celsius must be from -20 to 50 C, got -300"),
        (lambda: air.delay_seconds(-1, 20), "distance must be 0 or more, got -1"),
        (lambda: air.loss_db(1000, -1, Air(20, 50)), "distance must be 0 or more, got -1"),
        (
            lambda: air.absorption(0, Air(20, 50)),
            "frequency must be from 20 to 20000 Hz, got 0",
        ),
    ],
)
def test_nonsense_is_refused(call, message: str) -> None:
    with pytest.raises(ValueError) as refused:
        call()
    assert str(refused.value) == message
