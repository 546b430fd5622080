"""Path difference 0.343 m: 0.9994 ms, first notch 500.29 Hz at c = 343.2 m/s; computed."""

from __future__ import annotations

from typing import Any

import pytest

from rigs.checks.rules.two_mics import check
from tests.rigs.checks.laying import entry, found, missing, only, unit, value

COMBO = unit("Combo", "combo")


def mics(near: float | None, far: float | None, names: Any = ("Centre", "Edge")) -> list[Any]:
    return [
        entry(name, COMBO, reference="grille", distance=d)
        for name, d in zip(names, (near, far), strict=True)
    ]


def test_the_further_one_is_later() -> None:
    finding = only(check, *mics(0.1, 0.443))
    assert finding.title == "Centre and Edge are apart in time"
    assert value(finding, "apart by") == pytest.approx(0.9994, abs=0.0001)
    assert value(finding, "first notch") == pytest.approx(500.29, abs=0.01)


def test_close_together_is_no_finding() -> None:
    assert found(check, *mics(0.025, 0.110)) == []


def test_pairs_by_name_have_rules_of_their_own() -> None:
    assert found(check, *mics(0.1, 0.5, ("Room L", "Room R"))) == []
    assert found(check, *mics(0.1, 0.5, ("Snare top", "Snare bottom"))) == []


def test_two_heads_of_one_drum_are_two_points() -> None:
    kick = unit("Kick", "drum")
    finding = only(
        check,
        entry("In", kick, reference="batter head", distance=0.14),
        entry("Out", kick, reference="resonant head", distance=0.08),
    )
    assert missing(finding) == "distances from one point"
    assert "In at “batter head” of Kick, Out at “resonant head” of Kick" in finding.mend


def test_a_distance_that_nobody_took_is_said() -> None:
    assert missing(only(check, *mics(0.1, None))) == "distance of Edge"


def test_two_units_are_not_one_source() -> None:
    one, other = mics(0.1, 0.5)
    elsewhere = entry("Edge", unit("Other"), reference="grille", distance=0.5)
    assert found(check, one, elsewhere) == []
    assert other.unit is COMBO
