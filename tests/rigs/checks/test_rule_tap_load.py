"""8 Ω beside 8 Ω is 4 Ω, 8 beside 16 is 5.3333 Ω, 8 + 8 in series 16 Ω: Kirchhoff, computed."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from rigs.checks.findings import Certainty, Severity
from rigs.checks.rules.tap_load import check
from tests.rigs.checks.laying import cable, found, missing, only, unit, value

HEAD = unit("Head", "valve_head", tap_impedance=8.0)


def cabinets(*ohms: float) -> list[Any]:
    """Each on a cable of its own from the head."""
    made = [unit(f"Cab {n}", "cabinet", speaker_impedance=z) for n, z in enumerate(ohms)]
    return [*made, *(cable("Head", each.id, "speaker") for each in made)]


def test_four_ohms_on_an_eight_ohm_tap() -> None:
    finding = only(check, HEAD, *cabinets(8, 8))
    assert finding.title == "Head: 4 Ω of cabinets on the 8 Ω tap"
    assert finding.severity == Severity.CAUTION
    assert value(finding, "load over tap") == pytest.approx(0.5)
    assert finding.parts == ("Head", "Cab 0", "Cab 1")
    assert "qualified technician" in finding.mend


def test_unequal_cabinets_add_as_kirchhoff_says() -> None:
    assert value(only(check, HEAD, *cabinets(8, 16)), "together") == pytest.approx(5.3333, abs=1e-4)


def test_what_fits_is_no_finding() -> None:
    assert found(check, HEAD, *cabinets(8)) == []
    assert found(check, HEAD, *cabinets(16, 16)) == []


def chained(words: str, ohms: float) -> list[Any]:
    one, two = (unit(f"Cab {n}", "cabinet", speaker_impedance=ohms) for n in (1, 2))
    return [
        one,
        two,
        cable("Head", "Cab 1", "speaker"),
        cable("Cab 1", "Cab 2", "speaker", None, words),
    ]


def test_chained_cabinets_are_parallel_unless_series_is_said() -> None:
    assert found(check, HEAD, *chained("", 16.0)) == []
    assert found(check, HEAD, *chained("Series out", 4.0)) == []
    assert value(only(check, HEAD, *chained("Series out", 8.0)), "together") == 16.0


def test_a_loop_of_cables_ends() -> None:
    back = cable("Cab 2", "Cab 1", "speaker")
    assert found(check, HEAD, *chained("", 16.0), back, cable("Cab 2", "Head", "speaker")) == []


def test_the_setting_of_the_control_serves_and_may_disagree() -> None:
    set_to_4 = replace(unit("Head", "valve_head"), settings={"Speaker tap": "4 Ω"})
    assert found(check, set_to_4, *cabinets(4)) == []
    assert value(only(check, set_to_4, *cabinets(8)), "load over tap") == 2.0
    both = replace(HEAD, settings={"Speaker tap": "4 Ω"})
    assert only(check, both, *cabinets(8)).title == "Head: two records of the tap in use disagree"


def test_a_combos_own_loudspeaker_counts() -> None:
    combo = unit("Head", "combo", tap_impedance=8.0, speaker_impedance=8.0)
    assert found(check, combo) == []
    assert value(only(check, combo, *cabinets(8)), "together") == 4.0


def test_what_is_not_stated_is_said() -> None:
    blank = [unit("Cab", "cabinet"), cable("Head", "Cab", "speaker")]
    assert missing(only(check, HEAD, *blank)) == "speaker impedance of Cab"
    assert missing(only(check, unit("Head", "valve_head"), *cabinets(8))) == "speaker tap in use"
    assert missing(only(check, HEAD)) == "the cabinet on its speaker output"


def test_a_transistor_head_has_no_tap() -> None:
    assert found(check, unit("Head", "head"), *cabinets(8)) == []


def test_a_valve_head_of_which_nothing_is_stated_is_asked_about() -> None:
    finding = only(check, unit("Head", "valve_head"))
    assert missing(finding) == "speaker tap in use, the cabinet on its speaker output"
    # A combo drives its own loudspeaker, and seldom has taps to choose from.
    assert found(check, unit("Head", "combo")) == []


@pytest.mark.parametrize("load", [7.2, 8.8])
def test_ten_per_cent_either_way_is_within(load: float) -> None:
    assert found(check, HEAD, *cabinets(load)) == []


@pytest.mark.parametrize("load", [7.19, 8.81])
def test_more_than_ten_per_cent_either_way_is_not(load: float) -> None:
    assert only(check, HEAD, *cabinets(load)).severity == Severity.CAUTION


def test_a_head_that_is_not_said_to_be_of_valves_is_not_spoken_of_as_one() -> None:
    """A transistor stage works as a voltage source: a higher load takes less power from it, a lower
    one more current. Source: Ohm's law; V²/R at 16 Ω is half of that at 8 Ω."""
    head = unit("Head", "head", tap_impedance=8.0)
    higher = only(check, head, *cabinets(16))
    assert higher.severity == Severity.LOOK
    assert "less power" in higher.why
    lower = only(check, head, *cabinets(4))
    assert lower.severity == Severity.CAUTION
    assert "more current" in lower.why
    for finding in (higher, lower):
        assert finding.certainty == Certainty.ESTIMATE
        assert "valve" not in finding.title
        assert any("not said to be a valve amplifier" in words for words in finding.assumes)


def test_a_valve_head_is_spoken_of_as_one_and_a_combo_with_doubt() -> None:
    head, combo = only(check, HEAD, *cabinets(16)), unit("Head", "combo", tap_impedance=8.0)
    assert (head.certainty, "valve amplifier" in head.why) == (Certainty.CERTAIN, True)
    doubted = only(check, combo, *cabinets(16))
    assert (doubted.severity, doubted.certainty) == (Severity.CAUTION, Certainty.ESTIMATE)
    assert any("taken for a valve amplifier" in words for words in doubted.assumes)
