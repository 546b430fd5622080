"""That the limiter of earphones on stage stays on is common practice, no source."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rigs.checks.findings import Severity
from rigs.checks.rules.in_ear_limiter import check
from tests.rigs.checks.laying import found, missing, only, unit

PACK = unit("Pack", "in_ear")


def test_a_limiter_that_is_off_is_a_caution_for_the_ears() -> None:
    finding = only(check, replace(PACK, settings={"Limiter": "off"}))
    assert finding.title == "Pack: its limiter is off"
    assert finding.severity == Severity.CAUTION
    assert "local" in finding.mend
    assert "hearing" in finding.why


@pytest.mark.parametrize("settings", [{}, {"Limiter": ""}, {"Volume": "2:00"}])
def test_a_limiter_of_which_nothing_is_noted_is_asked_about(settings: dict[str, str]) -> None:
    assert missing(only(check, replace(PACK, settings=settings))) == "whether its limiter is on"


@pytest.mark.parametrize("setting", ["on", "On", "−6 dB"])
def test_one_that_is_on_is_no_finding(setting: str) -> None:
    assert found(check, replace(PACK, settings={"Peak limiter": setting})) == []


def test_what_nobody_wears_has_none() -> None:
    assert found(check, unit("Amp", "head"), unit("Sender", "in_ear_transmitter")) == []
