"""The low end of a gradient microphone close up, against a spherical wave in numbers."""

from __future__ import annotations

import cmath
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigs.signal.microphones import GRADIENT_SHARE, proximity_rise_db
from rigs.whatif import distance
from rigs.whatif.proximity import change

C = 343.2


def _heard(hz: float, metres: float, share: float) -> float:
    """dB of a mic made of one pressure capsule and of two a hundredth of a millimetre apart, whose
    difference is taken, against the pressure there: complex pressures of e^(-jkr) / r. The pair is
    scaled so that a plane wave, e^(-jkr), gives as much as the single capsule."""

    def sphere(r: float) -> complex:
        return cmath.exp(-1j * k * r) / r

    def plane(r: float) -> complex:
        return cmath.exp(-1j * k * r)

    k, step = 2 * math.pi * hz / C, 1e-5
    far = plane(metres - step / 2) - plane(metres + step / 2)
    near = sphere(metres - step / 2) - sphere(metres + step / 2)
    whole = (1 - share) * sphere(metres) + share * near * plane(metres) / far
    return 20 * math.log10(abs(whole) / abs(sphere(metres)))


@pytest.mark.parametrize("share", sorted(GRADIENT_SHARE.values()))
@pytest.mark.parametrize("metres", [0.02, 0.06, 0.3, 1.0])
@pytest.mark.parametrize("hz", [50.0, 100.0, 1000.0])
def test_as_two_capsules_in_a_spherical_wave(hz: float, metres: float, share: float) -> None:
    assert proximity_rise_db(hz, metres, C, share) == pytest.approx(
        _heard(hz, metres, share), abs=0.02
    )


def test_a_velocity_microphone_is_3_db_up_where_kr_is_one() -> None:
    """And 6 dB an octave below: textbooks on microphones, such as J. Eargle's (from memory)."""
    metres = C / (2 * math.pi * 1000)  # kr = 1 at 1 kHz: 54.6 mm
    assert metres == pytest.approx(0.0546, abs=1e-4)
    assert proximity_rise_db(1000, metres, C, 1.0) == pytest.approx(3.01, abs=0.01)
    low, lower = (proximity_rise_db(hz, metres, C, 1.0) for hz in (50.0, 25.0))
    assert lower - low == pytest.approx(6.02, abs=0.02)


def test_patterns_null_where_textbooks_say() -> None:
    """Cardioid 180°, supercardioid about 125°, hypercardioid about 109.5°, figure of eight 90°."""
    nulls = {"cardioid": 180, "supercardioid": 125.3, "hypercardioid": 109.5, "figure8": 90}
    for name, degrees in nulls.items():
        share = GRADIENT_SHARE[name]
        null = math.degrees(math.acos(-(1 - share) / share))
        assert null == pytest.approx(degrees, abs=0.1)


def test_from_2_to_6_cm_the_lows_fall_further_than_the_level() -> None:
    # By the spherical wave above: 22.71 and 13.26 dB at 100 Hz for a cardioid.
    told = distance.answer(0.02, 0.06, 20, gradient=0.5)
    apart = _heard(100, 0.02, 0.5) - _heard(100, 0.06, 0.5)
    assert told.words == (
        "9.5 dB less, and 0.12 ms later. Proximity effect: up to "
        f"{apart:.1f} dB less at 100 Hz against the rest, on top of the change in level."
    )
    row = next(row for row in told.tables[0].rows if row[0] == "Proximity effect at 100 Hz")
    assert row[1:] == tuple(f"+{_heard(100, r, 0.5):.1f} dB" for r in (0.02, 0.06))
    assert any("the most that it can be" in words for words in told.assumes)
    (drawn,) = told.further
    assert "at 100 Hz +" in drawn


def test_an_omni_has_none_and_an_unknown_pattern_is_said() -> None:
    assert "no proximity effect" in change(0.02, 0.06, 20, 0.0).words
    assert "cannot be worked out" in change(0.02, 0.06, 20, None).problems[0]
    assert change(0.0, 0.06, 20, 0.5).words == ""


@given(st.floats(20, 2000), st.floats(0.005, 5), st.floats(0, 1))
def test_nearer_and_lower_is_never_less(hz: float, metres: float, share: float) -> None:
    here = proximity_rise_db(hz, metres, C, share)
    assert 0 <= here <= proximity_rise_db(hz / 2, metres, C, share)
    assert here <= proximity_rise_db(hz, metres / 2, C, share)
