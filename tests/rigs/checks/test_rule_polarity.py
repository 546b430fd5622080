"""Opposite faces move in opposite directions: common practice, no source."""

from __future__ import annotations

from rigs.checks.rules.polarity import check
from tests.rigs.checks.laying import DI, entry, found, only, unit

SNARE = unit("Snare", "drum")


def faces(top: bool, bottom: bool) -> list[object]:
    return [
        entry("Snare top", SNARE, reversed_polarity=top),
        entry("Snare bottom", SNARE, reversed_polarity=bottom),
    ]


def test_both_reversed_is_the_same_as_neither() -> None:
    both = only(check, *faces(True, True))
    assert both.title == "Snare top and Snare bottom: polarity is reversed on both"
    neither = only(check, *faces(False, False))
    assert neither.title == "Snare top and Snare bottom: polarity is reversed on neither"
    assert both.signature != neither.signature


def test_one_reversed_is_no_finding() -> None:
    assert found(check, *faces(False, True)) == []
    assert found(check, *faces(True, False)) == []


def test_two_drums_are_no_pair() -> None:
    assert found(check, entry("Tom top", SNARE), entry("Tom bottom", unit("Tom"))) == []


def test_a_di_and_its_microphone_both_reversed() -> None:
    bass = unit("Bass", "bass")
    reversed_mic = entry("Mic", bass, reversed_polarity=True)
    assert len(found(check, entry("DI", bass, DI, reversed_polarity=True), reversed_mic)) == 1
    assert found(check, entry("DI", bass, DI), reversed_mic) == []
    assert found(check, entry("DI", bass, DI), entry("Mic", bass)) == []
