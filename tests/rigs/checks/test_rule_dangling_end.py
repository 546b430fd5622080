"""Sound that arrives nowhere and inputs that hear nothing. Common practice, no source."""

from __future__ import annotations

import pytest

from rigs.checks.findings import Severity
from rigs.checks.rules.dangling_end import check
from tests.rigs.checks.laying import cable, entry, found, only, unit

GUITAR, PEDAL, HEAD = unit("Guitar", "guitar"), unit("Drive", "pedal"), unit("Head", "head")
CABINET = unit("Cabinet", "cabinet")
WHOLE = (
    GUITAR,
    PEDAL,
    HEAD,
    CABINET,
    cable("Guitar", "Drive"),
    cable("Drive", "Head"),
    cable("Head", "Cabinet", "speaker"),
)


def test_a_path_to_a_loudspeaker_is_whole() -> None:
    assert not found(check, *WHOLE)


def test_what_leads_nowhere_is_named_one_by_one() -> None:
    titles = [f.title for f in found(check, GUITAR, PEDAL, HEAD, cable("Guitar", "Drive"))]
    assert titles == [
        f"{name}: its sound reaches neither a loudspeaker nor an input"
        for name in ("Guitar", "Drive", "Head")
    ]


def test_an_input_takes_up_all_that_comes_before_it() -> None:
    finding = only(check, GUITAR, PEDAL, HEAD, cable("Guitar", "Drive"), entry("DI", PEDAL))
    assert finding.parts == ("Head",)
    assert finding.severity == Severity.LOOK


def test_an_input_on_gear_that_nothing_feeds_hears_nothing() -> None:
    bare = unit("Second cabinet", "cabinet")
    finding = only(check, *WHOLE, bare, entry("Mic", bare))
    assert finding.title == "Mic: nothing feeds Second cabinet"
    assert not found(check, *WHOLE, entry("Mic", CABINET))


@pytest.mark.parametrize("gear", ["drum", "cymbal", "voice", "wind", "string", "power", "other"])
def test_what_needs_no_cable_is_left_alone(gear: str) -> None:
    assert not found(check, *WHOLE, unit("It", gear))


def test_a_control_cable_brings_no_sound() -> None:
    loose = unit("Looper", "pedal")
    finding = only(check, *WHOLE, loose, cable("Looper", "Head", "control"))
    assert finding.parts == ("Looper",)


def test_a_rig_without_cables_documents_no_path() -> None:
    assert not found(check, GUITAR, HEAD, entry("Mic", HEAD))


def test_a_ring_that_reaches_an_input_ends() -> None:
    assert not found(
        check, PEDAL, HEAD, cable("Drive", "Head"), cable("Head", "Drive"), entry("DI", HEAD)
    )
