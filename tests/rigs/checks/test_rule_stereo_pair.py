"""Notches: (2k - 1) / 2 tau with c = 343.2 m/s at 20 °C (ISO 9613-1); computed."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from rigs.checks.findings import Certainty
from rigs.checks.pictures import CombPicture
from rigs.checks.rules.stereo_pair import check
from rigs.facts import FACTS
from tests.rigs.checks.laying import entry, found, missing, only, unit, value


def overheads(left: float | None, right: float | None, **more: Any) -> list[Any]:
    shared = {"reference": "snare centre", "distance_unit": "m"}
    return [
        entry("Overhead left", distance=left, **shared),
        entry("Overhead right", distance=right, **(shared | more)),
    ]


def test_half_a_metre_puts_the_first_notch_at_343_hertz() -> None:
    finding = only(check, *overheads(1.0, 1.5))
    assert (
        finding.title
        == "Overhead left and Overhead right are not equally far from the snare centre"
    )
    assert value(finding, "difference") == pytest.approx(0.5)
    assert value(finding, "apart by") == pytest.approx(1.4569, abs=0.0001)
    assert value(finding, "first notch") == pytest.approx(343.20, abs=0.01)
    # 1.5 times as far is 3.52 dB down (inverse square, computed), so the notch has a floor.
    assert value(finding, "depth of the notches") == pytest.approx(-9.54, abs=0.01)
    assert isinstance(finding.picture, CombPicture)


def test_warm_air_moves_the_notch_and_leaves_the_signature() -> None:
    cold, warm = (only(check, *overheads(1.0, 1.1), celsius=c) for c in (0.0, 30.0))
    assert value(cold, "first notch") == pytest.approx(5 * 331.286, abs=0.5)
    assert value(warm, "first notch") == pytest.approx(5 * 349.005, abs=0.5)
    assert cold.signature == warm.signature
    assert warm.assumes[1] == "Air at 30 °C, as stated for the next show."


def test_ten_millimetres_are_within_what_a_tape_repeats() -> None:
    assert found(check, *overheads(1.02, 1.03)) == []
    assert len(found(check, *overheads(1.02, 1.0301))) == 1


def test_a_distance_that_nobody_took_is_said() -> None:
    assert missing(only(check, *overheads(1.02, None))) == "distance of Overhead right"


def test_without_one_point_for_both_nothing_is_compared() -> None:
    finding = only(check, *overheads(1.0, 1.5, reference="kick beater"))
    assert missing(finding) == "distances from one point"
    assert finding.mend == (
        "Measure both from one point and name the unit that it is on, such as “snare centre”. As "
        "written they start at two: Overhead left at “snare centre”, Overhead right at “kick "
        "beater”."
    )


def test_two_cabinets_each_from_its_own_grille_have_no_point_in_common() -> None:
    pair = [
        entry(name, unit(f"Cabinet {name[-1]}"), reference="grille cloth", distance=metres)
        for name, metres in (("Guitar L", 0.02), ("Guitar R", 0.5))
    ]
    finding = only(check, *pair)
    assert missing(finding) == "distances from one point"
    assert "Guitar L at “grille cloth” of Cabinet L" in finding.mend


def test_a_point_on_no_unit_is_taken_for_one_and_that_is_said() -> None:
    trusted, known = only(check, *overheads(1.0, 1.5)), only(check, *on_units(0.5, None, None))
    assert trusted.certainty == Certainty.ESTIMATE
    assert trusted.assumes[-1] == "“snare centre” is one and the same point for both."
    assert known.certainty == Certainty.CERTAIN


def test_other_names_are_no_pair() -> None:
    assert found(check, entry("Tom L", reference="x"), entry("Ride R", reference="x")) == []
    assert found(check, entry("A", reference="x"), entry("B", reference="x")) == []


def test_letters_stand_for_the_sides() -> None:
    pair = [entry(f"OH {side}", reference="x", distance=d) for side, d in (("R", 1.0), ("L", 1.2))]
    assert only(check, *pair).parts == ("OH L", "OH R")


def on_units(apart: float, *tolerances: float | None) -> list[Any]:
    """Overheads so many metres apart, left on one unit and right on another."""
    units = [
        unit(name, "cymbal", **({} if metres is None else {"pair_tolerance": metres}))
        for name, metres in zip(("Hi-hat", "Ride"), tolerances, strict=True)
    ]
    return [
        unit("Snare", "drum"),
        *(
            entry(name, on, distance=distance, reference="snare centre")
            for name, on, distance in zip(
                ("Overhead left", "Overhead right"), units, (1.0, 1.0 + apart), strict=True
            )
        ),
    ]


def test_the_tolerance_that_the_engineer_set_decides() -> None:
    assert found(check, *on_units(0.025, 0.03, None)) == []
    finding = only(check, *on_units(0.025, None, 0.02))
    assert finding.mend == "Move one until both tapes read the same, within 20 mm."
    assert finding.assumes[0] == "Up to 20 mm counts as equal, as stated on Ride."
    assert value(finding, "tolerance") == pytest.approx(20)


def test_the_boundary_of_a_tolerance_that_was_set() -> None:
    assert found(check, *on_units(0.02, 0.02, None)) == []
    assert len(found(check, *on_units(0.0201, 0.02, None))) == 1


def test_of_two_tolerances_the_tighter_one_decides() -> None:
    finding = only(check, *on_units(0.004, 0.05, 0.003))
    assert finding.assumes[0] == "Up to 3 mm counts as equal, as stated on Ride."


def test_no_tolerance_at_all_can_be_asked_for() -> None:
    assert found(check, *on_units(0.0, 0.0, None)) == []
    assert len(found(check, *on_units(0.0001, 0.0, None))) == 1


def test_a_default_is_said_and_is_no_number_of_the_finding() -> None:
    default, stated = (
        only(check, *on_units(0.5, None, None)),
        only(check, *on_units(0.5, 0.01, None)),
    )
    assert default.assumes[0] == (
        "Up to 10 mm counts as equal: no tolerance is stated on a unit of the pair."
    )
    assert "tolerance" not in [figure.label for figure in default.figures]
    # Words that accepted it hold until somebody states a tolerance.
    assert default.signature != stated.signature


def test_the_figure_is_kept_in_metres_and_shown_in_millimetres() -> None:
    fact = FACTS["pair_tolerance"]
    assert fact.shown(Decimal("0.025")) == "25 mm"
    assert (fact.low, fact.high) == (0, 1)
