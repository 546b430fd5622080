"""8 Ω beside 4 Ω: 33.33 % and 66.67 % of the power; Joule and Kirchhoff, computed."""

from __future__ import annotations

from typing import Any

import pytest

from rigs.checks.rules.cabinet_power import check
from tests.rigs.checks.laying import cable, found, missing, only, unit, value

HEAD = unit("Head", "head", output_power=300.0)


def pair(**handled: float) -> list[Any]:
    eight = unit("Eight", "cabinet", speaker_impedance=8.0, power_handling=handled["eight"])
    four = unit("Four", "cabinet", speaker_impedance=4.0, power_handling=handled["four"])
    return [eight, four, cable("Head", "Eight", "speaker"), cable("Head", "Four", "speaker")]


def test_the_lower_impedance_takes_two_thirds() -> None:
    finding = only(check, HEAD, *pair(eight=100.0, four=150.0))
    assert finding.title == "Four: Head can give it more than it handles"
    assert value(finding, "can reach it") == pytest.approx(200.0)


def test_enough_is_no_finding() -> None:
    assert found(check, HEAD, *pair(eight=100.1, four=200.1)) == []
    assert found(check, HEAD) == []


def test_what_is_not_stated_is_said() -> None:
    bare = [unit("Head", "head"), unit("Cab", "cabinet"), cable("Head", "Cab", "speaker")]
    assert missing(only(check, *bare)) == (
        "output power of Head, speaker impedance of Cab, power handling of Cab"
    )
