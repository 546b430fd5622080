"""String tensions against closed forms and published string charts."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigs.signal import strings

SCALE = 0.6477  # 25.5 in
POSITIVE = st.floats(1e-5, 1e-2)

# Unit weight in lb/in, f in Hz, T in N computed, T in lbf as charts print it. Only the first
# chart row was seen in a public page; the others are from memory, unverified.
CHART = [
    (2.215e-05, 329.628, 72.12, 16.2),
    (3.744e-05, 246.942, 68.42, 15.4),
    (6.402e-05, 195.998, 73.70, 16.6),
    (1.267e-04, 146.832, 81.86, 18.4),
    (2.396e-04, 110.000, 86.89, 19.5),
    (3.822e-04, 82.407, 77.77, 17.5),
]


@pytest.mark.parametrize(("unit_weight", "hertz", "newtons", "chart"), CHART)
def test_chart(unit_weight: float, hertz: float, newtons: float, chart: float) -> None:
    mass = unit_weight * strings.KG_PER_METRE_PER_LB_PER_INCH
    found = strings.tension(hertz, SCALE, mass)
    assert found == pytest.approx(newtons, rel=1e-3)
    assert found / strings.NEWTONS_PER_POUND_FORCE == pytest.approx(chart, abs=0.1)


# Closed form: the .010 at D4 and the .046 at D2.
@pytest.mark.parametrize(
    ("unit_weight", "hertz", "newtons"), [(2.215e-05, 293.665, 57.24), (3.822e-04, 73.416, 61.73)]
)
def test_a_tone_down(unit_weight: float, hertz: float, newtons: float) -> None:
    mass = unit_weight * strings.KG_PER_METRE_PER_LB_PER_INCH
    assert strings.tension(hertz, SCALE, mass) == pytest.approx(newtons, rel=1e-3)


def test_retune_agrees_with_the_tension_at_the_new_pitch() -> None:
    # Closed form: 72.12 N at E4 and 57.24 N at D4, two semitones lower.
    assert strings.tension_after_retune(72.12, -2) == pytest.approx(57.24, rel=1e-3)
    assert strings.tension_after_retune(80, -12) == 20


# Plain steel against charts: the mass computed from 7850 kg/m3 lies about 0.55 % above them.
@pytest.mark.parametrize(
    ("inch", "computed", "chart"),
    [
        (0.010, 3.9777e-04, 3.9555e-04),
        (0.013, 6.7222e-04, 6.6860e-04),
        (0.017, 1.1495e-03, 1.1433e-03),
    ],
)
def test_mass_of_plain_steel(inch: float, computed: float, chart: float) -> None:
    found = strings.mass_of_material(inch * 0.0254, "plain steel")
    assert found == pytest.approx(computed, rel=1e-4)
    assert found == pytest.approx(chart, rel=6e-3)


def test_pound_force_in_inches() -> None:
    # The imperial form in use, T = UW (2 L f)^2 / 386.09, is the same formula.
    mass = 2.215e-05 * strings.KG_PER_METRE_PER_LB_PER_INCH
    imperial = 2.215e-05 * (2 * 25.5 * 329.628) ** 2 / 386.09
    found = strings.tension(329.628, SCALE, mass) / strings.NEWTONS_PER_POUND_FORCE
    assert found == pytest.approx(imperial, rel=1e-4)


def test_total() -> None:
    # By hand: the six rows above.
    assert strings.total_tension(row[2] for row in CHART) == pytest.approx(460.76)


@given(hertz=st.floats(20, 1500), length=st.floats(0.2, 1.2), mass=POSITIVE)
def test_tension_and_pitch_are_inverse(hertz: float, length: float, mass: float) -> None:
    pull = strings.tension(hertz, length, mass)
    assert strings.frequency_at(pull, length, mass) == pytest.approx(hertz)


@given(newtons=st.floats(10, 300), hertz=st.floats(20, 1500), length=st.floats(0.2, 1.2))
def test_gauge_gives_the_tension_back(newtons: float, hertz: float, length: float) -> None:
    gauge = strings.gauge_for_tension(newtons, hertz, length, 7850)
    mass = strings.mass_of_plain(gauge, 7850)
    assert strings.tension(hertz, length, mass) == pytest.approx(newtons)


@given(mass=POSITIVE, steps=st.integers(-12, 12))
def test_heavier_string_keeps_the_feel(mass: float, steps: int) -> None:
    other = strings.mass_for_same_tension(mass, steps)
    before = strings.tension(110, SCALE, mass)
    assert strings.tension(110 * 2 ** (steps / 12), SCALE, other) == pytest.approx(before)
    assert (other > mass) == (steps < 0)


def test_vector_equals_scalars() -> None:
    pitches = np.array([82.407, 110.0, 146.832])
    many = strings.tension(pitches, SCALE, 4e-3)
    assert many == pytest.approx([strings.tension(float(f), SCALE, 4e-3) for f in pitches])


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: strings.tension(0, SCALE, 1e-3), "frequency must be above 0, got 0"),
        (lambda: strings.tension(110, -0.6, 1e-3), "length must be above 0, got -0.6"),
        (lambda: strings.tension(110, SCALE, math.nan), "mass_per_metre must be above 0, got nan"),
        (lambda: strings.mass_of_plain(0, 7850), "diameter must be above 0, got 0"),
        (lambda: strings.tension_after_retune(70, 60), "steps must be from -48 to 48, got 60"),
        (lambda: strings.total_tension([]), "newtons must name at least one string, got none"),
        (lambda: strings.total_tension([70, -1]), "newtons must be above 0, got -1"),
        (
            lambda: strings.mass_of_material(0.001, "wound"),
            "material must be one of plain steel, nylon, fluorocarbon, got 'wound'",
        ),
    ],
)
def test_nonsense_is_refused(call, message: str) -> None:
    with pytest.raises(ValueError) as refused:
        call()
    assert str(refused.value) == message
