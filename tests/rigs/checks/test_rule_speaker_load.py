"""That a valve amplifier must never run without a load is common practice, no source."""

from __future__ import annotations

from typing import Any

import pytest

from rigs.checks.findings import Certainty, Severity
from rigs.checks.rules import cabinet_power, tap_load
from rigs.checks.rules.speaker_load import check
from tests.rigs.checks.laying import cable, found, missing, only, unit, value

HEAD = unit("Head", "valve_head", tap_impedance=8.0, output_power=50.0)


def into(kind: str, **facts: float) -> list[Any]:
    return [unit("Box", kind, **facts), cable("Head", "Box", "speaker")]


@pytest.mark.parametrize("kind", ["modeller", "preamp", "pedal", "playback"])
def test_a_speaker_output_into_what_is_no_load_is_a_caution(kind: str) -> None:
    finding = only(check, HEAD, *into(kind))
    assert finding.title == "Head: its speaker output goes into Box, which is no load for it"
    assert (finding.severity, finding.certainty) == (Severity.CAUTION, Certainty.CERTAIN)
    assert "qualified technician" in finding.mend


@pytest.mark.parametrize("kind", ["cabinet", "rotary", "load_box"])
def test_a_loudspeaker_or_a_load_box_is_one(kind: str) -> None:
    assert found(check, HEAD, *into(kind)) == []


@pytest.mark.parametrize("kind", ["speaker_simulator", "switcher", "other"])
def test_what_may_be_one_is_asked_about(kind: str) -> None:
    assert missing(only(check, HEAD, *into(kind))) == "whether Box is a load"


def test_a_load_behind_a_switcher_or_beside_a_simulator_is_found() -> None:
    cabinet = unit("Cab", "cabinet")
    assert found(check, HEAD, *into("switcher"), cabinet, cable("Box", "Cab", "speaker")) == []
    assert found(check, HEAD, *into("pedal"), cabinet, cable("Head", "Cab", "speaker")) == []


def test_a_combo_has_its_own_loudspeaker_and_other_heads_need_no_load() -> None:
    assert found(check, unit("Head", "combo"), *into("pedal")) == []
    assert found(check, unit("Head", "head"), *into("pedal")) == []
    # Of a head with nothing on its speaker output the tap's check speaks.
    assert found(check, HEAD) == []


def test_behind_a_load_box_a_cabinet_is_no_part_of_the_amplifiers_load() -> None:
    """The amplifier sees the load box alone: 8 Ω, not 8 Ω beside 8 Ω (Kirchhoff: 4 Ω)."""
    box = into("load_box", speaker_impedance=8.0, power_handling=100.0)
    behind = [unit("Cab", "cabinet", speaker_impedance=8.0), cable("Box", "Cab", "speaker")]
    assert found(tap_load.check, HEAD, *box, *behind) == []


def test_a_load_box_given_more_than_it_takes_is_found() -> None:
    box = into("load_box", speaker_impedance=8.0, power_handling=30.0)
    finding = only(cabinet_power.check, HEAD, *box)
    assert (value(finding, "can reach it"), value(finding, "handles")) == (50.0, 30.0)
