"""What a lifted shield does to microphones and to phantom power: common practice, no source."""

from __future__ import annotations

from dataclasses import replace

from rigs.checks.findings import Certainty, Severity
from rigs.checks.rules.ground_lift import check
from tests.rigs.checks.laying import DI, MIC, entry, found, only, unit

BASS = unit("Bass", "bass")
PASSIVE = replace(DI, principle="di_passive", needs_phantom=False)


def test_a_microphone_with_its_shield_lifted_is_worth_a_look() -> None:
    finding = only(check, entry("Mic", BASS, MIC, ground_lift=True))
    assert finding.title == "Mic: ground lift is on, and Hollow 2 is a microphone"
    assert (finding.severity, finding.certainty) == (Severity.LOOK, Certainty.THUMB)


def test_a_di_that_lives_on_phantom_power_may_lose_it() -> None:
    finding = only(check, entry("DI", BASS, DI, ground_lift=True, phantom=True))
    assert finding.title == "DI: Straight Line A is fed by phantom power with its ground lift on"
    assert "Never lift a protective earth" in finding.mend


def test_where_it_belongs_it_is_no_finding() -> None:
    assert found(check, entry("DI", BASS, PASSIVE, ground_lift=True)) == []
    assert found(check, entry("DI", BASS, DI, ground_lift=True, phantom=False)) == []
    assert found(check, entry("DI", BASS, DI, phantom=True)) == []
    assert found(check, entry("Mic", BASS, None, ground_lift=True)) == []
