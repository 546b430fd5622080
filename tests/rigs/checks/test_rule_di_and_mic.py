"""Delay: d / c, c = 343.2 m/s at 20 °C (ISO 9613-1); 1 m is 2.9138 ms, computed."""

from __future__ import annotations

from typing import Any

import pytest

from rigs.checks.rules.di_and_mic import check
from tests.rigs.checks.laying import DI, cable, entry, found, missing, only, unit, value

BASS, SPLIT, CABINET = unit("Bass", "bass"), unit("Splitter"), unit("Cabinet", "cabinet")
PATH = (BASS, SPLIT, CABINET, cable("Bass", "Splitter"), cable("Splitter", "Cabinet", "speaker"))


def pair(
    distance: float | None, notes: str = "", delay: float | None = None, **more: Any
) -> list[Any]:
    return [
        *PATH,
        entry("DI", SPLIT, DI, notes=notes, delay=delay),
        entry("Mic", CABINET, distance=distance, **more),
    ]


def test_a_metre_is_2_91_milliseconds_and_notches_at_172_hertz() -> None:
    finding = only(check, *pair(1.0))
    assert finding.title == "DI and Mic are apart in time"
    assert value(finding, "apart by") == pytest.approx(2.9138, abs=0.0001)
    assert value(finding, "first notch") == pytest.approx(171.60, abs=0.01)
    assert finding.mend == "Delay DI by 2.91 ms. Then listen with polarity both ways."


def test_what_is_proposed_mends_it() -> None:
    (edit,) = only(check, *pair(1.0)).edits
    assert (edit.part, edit.fields) == ("DI", {"delay_ms": "2.91"})
    assert found(check, *pair(1.0, delay=0.00291)) == []


def test_a_delay_counts_on_the_channel_that_has_it() -> None:
    """The microphone delayed as well is later still: 2.9138 + 2.91 ms, computed."""
    finding = only(check, *pair(1.0)[:-1], entry("Mic", CABINET, distance=1.0, delay=0.00291))
    assert value(finding, "apart by") == pytest.approx(5.8238, abs=1e-3)
    assert finding.edits[0].fields == {"delay_ms": "5.82"}


def test_another_delay_than_needed_leaves_the_rest() -> None:
    finding = only(check, *pair(1.0, delay=0.001))
    assert value(finding, "delay of DI") == 1.0
    assert value(finding, "apart by") == pytest.approx(1.9138, abs=0.0001)


@pytest.mark.parametrize(
    ("notes", "ms"),
    [
        ("delay 2.91 ms", "2.91"),
        ("Aligned by ear: 1,0 ms.", "1"),
        ("delay -3.1 ms", None),
        ("delay −3.1 ms", None),
        ("aligned", None),
        ("delay 3 ms tonight, delay 4 ms in the hall", None),
        ("Close to the cone, 2.91 ms delay. Towel on the head.", "2.91"),
        ("time-aligned at the desk: 2.9 ms", "2.9"),
        ("the mic is delayed by 2.91 ms", None),
        ("delay the other channel by 2.91 ms", None),
        ("delay of minus 3 ms", None),
        ("delay not used: 3 ms", None),
        ("delay was 3 ms", None),
        ("no delay, 3 ms would be right", None),
        ("delay 480 ms 1/4 on the snare", None),
        ("delay 320 ms", None),
        ("delay 3 ms against 4 ms", None),
    ],
)
def test_what_notes_say_of_a_delay_is_offered_and_not_taken(notes: str, ms: str | None) -> None:
    finding = only(check, *pair(1.0, notes))
    assert missing(finding) == "delay of DI"
    assert [edit.fields for edit in finding.edits] == ([{"delay_ms": ms}] if ms else [])


def test_an_echo_is_no_alignment() -> None:
    finding = only(check, *pair(1.0, "delay pedal after it, 350 ms dotted"))
    assert value(finding, "apart by") == pytest.approx(2.9138, abs=0.0001)


def test_a_close_microphone_is_close_enough() -> None:
    # 0.25 ms, the threshold, is 85.8 mm.
    assert found(check, *pair(0.0857)) == []
    assert len(found(check, *pair(0.0859))) == 1


def test_what_nobody_measured_is_said() -> None:
    assert missing(only(check, *pair(None))) == "distance of Mic"


def test_a_distance_to_another_unit_says_nothing() -> None:
    finding = only(check, unit("Snare"), *pair(1.0, reference="snare centre"))
    assert missing(finding) == "distance of Mic from its own source"


def test_a_di_and_a_microphone_of_two_sources_are_no_pair() -> None:
    assert found(check, entry("DI", BASS, DI), entry("Mic", unit("Horn"), distance=1.0)) == []


def test_polarity_swaps_the_comb() -> None:
    finding = only(check, *pair(1.0, reversed_polarity=True))
    picture: Any = finding.picture
    assert picture.inverted is True
    # Opposed, a path 2.9138 ms later cancels where it is a whole turn late: 343.2 Hz, computed.
    assert value(finding, "first notch") == pytest.approx(343.20, abs=0.01)


def test_a_delay_below_a_millisecond_combs_the_mids_and_leaves_the_lows() -> None:
    # 12 cm are 0.34965 ms: half a turn at 1430 Hz, a third of one at 953 Hz; computed.
    finding = only(check, *pair(0.12))
    assert finding.why == (
        "Both carry the same sound. Added together the delay combs the mids: the first notch is at "
        "1430 Hz. Below 953 Hz they add; lows that go missing are a matter of polarity."
    )
    # Opposed: a sixth of a turn at 476.7 Hz, where the difference of the two is one of them.
    opposed = only(check, *pair(0.12, reversed_polarity=True))
    assert "below 477 Hz they take from each other, the lows most" in opposed.why


@pytest.mark.parametrize(("metres", "part"), [(1.0, "the lows"), (0.2, "the mids")])
def test_which_part_a_delay_combs(metres: float, part: str) -> None:
    assert f"combs {part}" in only(check, *pair(metres)).why
