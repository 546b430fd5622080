"""20 mV/Pa at 130 dB SPL is 4.260 dBu (IEC 60268-4 definitions, computed); full scale at +18 and
+24 dBu: EBU R 68 and SMPTE RP 155, from memory, unverified."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from rigs.checks.findings import Severity
from rigs.checks.rules import capsule_headroom, preamp_headroom
from tests.rigs.checks.laying import CONDENSER, DI, MIC, entry, found, missing, only, unit, value


def loud(spl: float, device: Any = CONDENSER, **more: Any) -> Any:
    return entry("Mic", unit("Amp", spl_at_mic=spl), device, **more)


def test_above_the_capsules_maximum_is_a_caution() -> None:
    finding = only(capsule_headroom.check, loud(132.0))
    assert finding.title == "Mic: the capsule of Selvage C is beyond its limit"
    assert finding.severity == Severity.CAUTION
    assert value(finding, "headroom") == pytest.approx(-2.0)


def test_less_than_six_decibels_left_are_worth_a_look() -> None:
    assert only(capsule_headroom.check, loud(124.1)).severity == Severity.LOOK
    assert only(capsule_headroom.check, loud(130.0)).severity == Severity.LOOK
    assert found(capsule_headroom.check, loud(124.0)) == []


def test_the_microphones_own_pad_raises_its_limit_and_the_preamps_does_not() -> None:
    """132 dB SPL against 130 and a pad of 10 dB: 8 dB are left, or 2 too few. Arithmetic; that its
    own pad raises a microphone's limit by as much: common practice, no source."""
    assert found(capsule_headroom.check, loud(132.0, pad=-10.0, pad_at="device")) == []
    behind = only(capsule_headroom.check, loud(132.0, pad=-10.0, pad_at="preamp"))
    assert value(behind, "headroom") == pytest.approx(-2.0)
    unsaid = only(capsule_headroom.check, loud(132.0, pad=-10.0))
    assert value(unsaid, "headroom") == pytest.approx(-2.0)
    assert any("whose pad" in words for words in unsaid.assumes)
    assert not any("whose pad" in words for words in behind.assumes)
    near = only(capsule_headroom.check, loud(138.0, pad=-10.0, pad_at="device"))
    assert value(near, "headroom") == pytest.approx(2.0)
    assert value(near, "its own pad") == pytest.approx(-10.0)


def test_whosever_pad_it_is_the_preamp_gets_less() -> None:
    for at in ("", "device", "preamp"):
        finding = only(preamp_headroom.check, loud(130.0, gain=30.0, pad=-10.0, pad_at=at))
        assert value(finding, "behind the preamp") == pytest.approx(24.260, abs=0.005)


def test_a_boundary_microphone_counts_as_on_a_large_surface() -> None:
    plate = replace(CONDENSER, principle="boundary")
    finding = only(preamp_headroom.check, loud(130.0, plate, gain=20.0))
    assert any("large surface" in words for words in finding.assumes)
    free = only(preamp_headroom.check, loud(130.0, gain=20.0))
    assert not any("large surface" in words for words in free.assumes)


def test_a_capsule_without_figures_is_said() -> None:
    bare = entry("Mic", unit("Amp"), replace(CONDENSER, max_spl=None))
    finding = only(capsule_headroom.check, bare)
    assert missing(finding) == "level at the microphone of Amp, maximum SPL of Selvage C"


def test_a_di_has_no_capsule_and_a_loose_input_no_level() -> None:
    for check in (capsule_headroom.check, preamp_headroom.check):
        assert (
            found(check, entry("DI", unit("Bass"), DI), entry("Mic"), entry("X", device=None)) == []
        )


def test_the_level_behind_the_preamp_is_what_the_definitions_give() -> None:
    finding = only(preamp_headroom.check, loud(130.0, gain=20.0))
    assert value(finding, "out of the microphone") == pytest.approx(4.260, abs=0.005)
    assert value(finding, "behind the preamp") == pytest.approx(24.260, abs=0.005)
    assert finding.title == "Mic: the preamp is out of headroom"
    assert finding.severity == Severity.CAUTION
    assert finding.mend.startswith("Take 6.3 dB off the gain")


def test_between_the_two_alignments_it_is_worth_a_look() -> None:
    finding = only(preamp_headroom.check, loud(130.0, gain=19.0))
    assert (finding.severity, finding.title) == (
        Severity.LOOK,
        "Mic: the preamp is nearly out of headroom",
    )
    assert found(preamp_headroom.check, loud(130.0, gain=13.7)) == []


def test_a_pad_makes_room() -> None:
    assert found(preamp_headroom.check, loud(130.0, gain=20.0, pad=-20.0)) == []


def test_a_preamp_without_figures_is_said() -> None:
    bare = entry("Mic", unit("Amp"), replace(MIC, sensitivity=None))
    assert missing(only(preamp_headroom.check, bare)) == (
        "level at the microphone of Amp, sensitivity of Hollow 2, preamp gain"
    )


def test_several_sources_add_their_energies_and_are_named() -> None:
    """Two equal sounds are 3.01 dB louder than one, ten 10 dB: ISO 1996-1 (energy sum, from
    memory). 124 dB alone leaves the 6 dB that the rule wants of 130; two of it do not."""
    kick, snare = unit("Kick", spl_at_mic=124.0), unit("Snare", spl_at_mic=124.0)
    finding = only(capsule_headroom.check, entry("Over", kick, CONDENSER, also=(snare,)))
    assert value(finding, "level at the microphone") == pytest.approx(127.0103, abs=1e-4)
    assert value(finding, "of that Snare alone") == 124.0
    assert any("2 sources are added" in words for words in finding.assumes)
    assert found(capsule_headroom.check, entry("Over", kick, CONDENSER)) == []


def test_what_is_known_may_be_too_much_already() -> None:
    """A source without a stated level only adds to it."""
    loud_one, unknown = unit("Kick", spl_at_mic=129.0), unit("Ride")
    over = entry("Over", None, CONDENSER, also=(loud_one, unknown), gain=30.0)
    finding = only(capsule_headroom.check, over)
    assert any("no level is stated of Ride" in words for words in finding.assumes)
    assert only(preamp_headroom.check, over).severity == Severity.CAUTION
    quiet = entry("Over", None, CONDENSER, also=(unit("Kick", spl_at_mic=90.0), unknown))
    assert missing(only(capsule_headroom.check, quiet)) == "level at the microphone of Ride"
