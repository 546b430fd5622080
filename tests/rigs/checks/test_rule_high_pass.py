"""Levels: Butterworth, computed, checked against scipy. Notes: equal temperament, A4 = 440 Hz."""

from __future__ import annotations

import math

import pytest
from scipy.signal import butter, freqs

from rigs.checks.findings import Severity
from rigs.checks.pictures import FilterPicture
from rigs.checks.rules.high_pass import check
from tests.rigs.checks.laying import cable, entry, found, missing, only, unit, value

GUITAR = unit("Guitar", "guitar", "E2 A2 D3 G3 B3 E4")


def test_a_corner_an_octave_above_the_lowest_note_costs_what_the_table_says() -> None:
    finding = only(check, entry("Mic", GUITAR, high_pass=2 * 82.407))
    assert finding.title == "Mic: the HPF is above the lowest note, E2"
    assert finding.severity == Severity.LOOK
    assert value(finding, "lowest note, E2") == pytest.approx(82.407, abs=0.001)
    assert value(finding, "E2 at 12 dB/octave") == pytest.approx(-12.3045, abs=0.005)
    assert value(finding, "E2 at 18 dB/octave") == pytest.approx(-18.1291, abs=0.005)


def test_the_corner_it_proposes_costs_one_decibel() -> None:
    corner = value(
        only(check, entry("Mic", GUITAR, high_pass=100.0)), "keeps E2 within 1 dB at 18 dB/octave"
    )
    b, a = butter(3, corner, "highpass", analog=True)
    _, response = freqs(b, a, [82.407])
    assert 20 * math.log10(abs(response[0])) == pytest.approx(-1.0, abs=0.001)


def test_a_corner_at_the_lowest_note_or_below_is_no_finding() -> None:
    assert found(check, entry("Mic", GUITAR, high_pass=82.4)) == []
    assert found(check, entry("Mic", GUITAR)) == []


def test_the_tuning_is_found_along_the_cables() -> None:
    cabinet = unit("Cabinet", "cabinet")
    path = (GUITAR, unit("Amp"), cable("Guitar", "Amp"), cable("Amp", "Cabinet", "speaker"))
    finding = only(check, *path, entry("Mic", cabinet, high_pass=100.0))
    assert isinstance(finding.picture, FilterPicture)
    assert finding.picture.low_note[0] == "E2"
    assert finding.picture.high_note[0] == "E6"  # 24 frets above E4, as assumed


def test_a_control_cable_carries_no_notes() -> None:
    amp = unit("Amp")
    assert (
        found(check, GUITAR, cable("Guitar", "Amp", "control"), entry("Mic", amp, high_pass=100.0))
        == []
    )


@pytest.mark.parametrize("tuning", ["", "as on the record"])
def test_an_unknown_tuning_is_said(tuning: str) -> None:
    finding = only(check, entry("Mic", unit("Bass", "bass", tuning), high_pass=30.0))
    assert missing(finding) == "tuning of Bass"
    assert finding.title == "Mic: tuning of Bass not stated"


def test_a_drum_has_no_tuning_to_miss() -> None:
    assert found(check, entry("Mic", unit("Snare", "drum"), high_pass=70.0)) == []
