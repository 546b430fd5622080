"""Notches: (2k - 1) / 2 tau with c = 343.2 m/s at 20 °C (ISO 9613-1); computed."""

from __future__ import annotations

from typing import Any

import pytest

from rigs.checks.pictures import CombPicture
from rigs.checks.rules.stereo_pair import check
from tests.rigs.checks.laying import entry, found, missing, only, value


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
    assert warm.assumes[0] == "Air at 30 °C, as stated for the next show."


def test_ten_millimetres_are_within_what_a_tape_repeats() -> None:
    assert found(check, *overheads(1.02, 1.03)) == []
    assert len(found(check, *overheads(1.02, 1.0301))) == 1


def test_a_distance_that_nobody_took_is_said() -> None:
    assert missing(only(check, *overheads(1.02, None))) == "distance of Overhead right"


def test_other_references_and_other_names_are_no_pair() -> None:
    assert found(check, *overheads(1.0, 1.5, reference="kick")) == []
    assert found(check, entry("Tom L", reference="x"), entry("Ride R", reference="x")) == []
    assert found(check, entry("A", reference="x"), entry("B", reference="x")) == []


def test_letters_stand_for_the_sides() -> None:
    pair = [entry(f"OH {side}", reference="x", distance=d) for side, d in (("R", 1.0), ("L", 1.2))]
    assert only(check, *pair).parts == ("OH L", "OH R")
