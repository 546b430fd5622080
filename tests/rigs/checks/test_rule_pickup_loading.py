"""Peaks and −3 dB points of sets A and D: ngspice-39, cross-checked with the closed form in numpy.

The component values are illustrative (common practice, no source).
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from rigs.checks.findings import Severity
from rigs.checks.rules.pickup_loading import check
from tests.rigs.checks.laying import DI, cable, entry, found, missing, only, unit, value

# 110 pF of its own and 5 m of 100 pF/m make set A's 610 pF.
PICKUP = {"pickup_inductance": 2.4, "pickup_resistance": 6e3, "pickup_capacitance": 110e-12}
GUITAR = unit("Guitar", "guitar", **PICKUP)
LONG = cable("Guitar", "Pedal", length=5.0)


def pedal(ohms: float) -> Any:
    return unit("Pedal", "pedal", input_impedance=ohms)


def test_set_a_rings_where_the_simulator_says() -> None:
    finding = only(check, GUITAR, LONG, pedal(200e3))
    assert finding.severity == Severity.LOOK
    assert value(finding, "peak, now") == pytest.approx(4047, rel=0.003)
    assert value(finding, "3 dB down at, now") == pytest.approx(6366, rel=0.003)
    # 7.811 dB at the peak over −0.257 dB at 10 Hz.
    assert value(finding, "peak over the low end, now") == pytest.approx(8.068, abs=0.02)


def test_set_d_loses_its_peak_to_a_47_kilohm_input() -> None:
    line_in = unit("Line in", input_impedance=47e3)
    finding = only(
        check, GUITAR, LONG, pedal(200e3), line_in, cable("Guitar", "Line in", length=0.0)
    )
    assert value(finding, "input") == pytest.approx(38.057, abs=0.001)
    assert value(finding, "peak, now") == "none"
    assert value(finding, "3 dB down at, now") == pytest.approx(3829, rel=0.003)


def test_the_reference_itself_is_no_finding() -> None:
    short = cable("Guitar", "Pedal", length=3.0)
    assert found(check, GUITAR, short, pedal(1e6)) == []


def test_a_longer_cable_alone_is_found_from_a_third_of_an_octave_on() -> None:
    assert found(check, GUITAR, cable("Guitar", "Pedal", length=4.0), pedal(1e6)) == []
    assert len(found(check, GUITAR, cable("Guitar", "Pedal", length=8.0), pedal(1e6))) == 1


def test_a_di_on_the_instrument_loads_it_too() -> None:
    passive = replace(DI, impedance=47e3)
    finding = only(check, GUITAR, entry("DI", GUITAR, passive))
    assert finding.assumes[-1].startswith("The cable to Straight Line A is not documented")
    assert missing(only(check, GUITAR, entry("DI", GUITAR, replace(DI, impedance=None)))) == (
        "impedance of Straight Line A"
    )


def test_what_is_not_stated_is_said() -> None:
    bare = [unit("Guitar", "guitar"), cable("Guitar", "Pedal"), unit("Pedal", "pedal")]
    assert missing(only(check, *bare)) == (
        "pickup inductance, pickup resistance, pickup capacitance, "
        "input impedance of Pedal, length of the cable to Pedal"
    )


def test_an_instrument_without_a_cable_is_left_alone() -> None:
    assert found(check, GUITAR, entry("Mic", GUITAR)) == []
