"""Levels: Butterworth, computed and checked against scipy. 24 frets: common practice, no source."""

from __future__ import annotations

import pytest

from rigs.checks.rules.low_pass import check
from tests.rigs.checks.laying import entry, found, missing, only, unit, value

GUITAR = unit("Guitar", "guitar", "E2 A2 D3 G3 B3 E4")


def test_a_corner_an_octave_below_the_highest_note_costs_what_the_table_says() -> None:
    finding = only(check, entry("Mic", GUITAR, low_pass=1318.510 / 2))
    assert finding.title == "Mic: the LPF is below the highest note, E6"
    assert value(finding, "highest note, E6") == pytest.approx(1318.510, abs=0.001)
    assert value(finding, "E6 at 12 dB/octave") == pytest.approx(-12.3045, abs=0.005)


def test_a_corner_above_it_is_no_finding() -> None:
    assert found(check, entry("Mic", GUITAR, low_pass=1318.6)) == []


def test_an_unknown_tuning_is_said() -> None:
    finding = only(check, entry("Mic", unit("Bass", "bass"), low_pass=5000.0))
    assert missing(finding) == "tuning of Bass"
