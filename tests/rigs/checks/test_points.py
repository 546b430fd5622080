"""Which unit a tape starts at. Cases are how crews write; common practice, no source."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from rigs.checks.build import build
from rigs.checks.findings import Finding, Severity
from rigs.checks.paths import predicted
from rigs.checks.points import own_distance, point, share_a_point
from rigs.checks.run import findings
from tests.rigs.checks.laying import DI, MIC, bench, entry, unit

UNITS = {
    "s": "Snare",
    "s2": "Snare 2",
    "r": "Rack tom",
    "f": "Floor tom",
    "c1": "Cabinet 1 × 15",
    "c2": "Cabinet 4 × 10",
    "h": "Valve head",
    "ride": "Ride",
}


@pytest.mark.parametrize(
    ("reference", "own", "on"),
    [
        ("rim", "r", "r"),
        ("grille cloth", "c1", "c1"),
        ("batter head", "s", "s"),  # not the valve head
        ("Snare centre", "ride", "s"),
        ("centre of the snare", "ride", "s"),
        ("snare rim", "s2", "s2"),
        ("floor tom rim", "r", "f"),
        ("cabinet 1 grille", "c2", "c1"),
        ("stage edge", "r", "r"),
        ("10 cm from the rim", "c2", "c2"),  # a number names no unit
        ("stage edge", "", ""),
    ],
)
def test_the_unit_that_a_point_is_on(reference: str, own: str, on: str) -> None:
    found = point(reference, own, UNITS)
    assert found is not None
    assert found.unit == on


@pytest.mark.parametrize(
    ("reference", "own"),
    [("", "r"), ("tom rim", "ride"), ("rim", ""), ("left grille", "")],
)
def test_what_nothing_says(reference: str, own: str) -> None:
    assert point(reference, own, UNITS) is None


def test_two_ways_to_write_one_point() -> None:
    assert (
        point("snare centre", "ride", UNITS)
        == point("Center of the Snare", "r", UNITS)
        == point("centre", "s", UNITS)
    )


def _input(name: str, on: str, **more: Any) -> dict[str, Any]:
    fields = {"name": name, "unit": on, "device": "mic", "distance_m": "0.05", **more}
    return {"kind": "input", "reference_point": "rim", **fields}


DRUMS = {name: {"kind": "unit", "name": name, "gear": "drum"} for name in ("Tom left", "Tom right")}


def _found(*inputs: dict[str, Any]) -> list[Finding]:
    laid = build("rig", {**DRUMS, **{x["name"]: x for x in inputs}}, {"mic": MIC})
    return [f for f in findings(laid) if f.rule in {"stereo_pair", "three_to_one", "two_mics"}]


def test_two_toms_each_from_its_own_rim_are_not_measured_against_each_other() -> None:
    found = _found(
        _input("Tom L", "Tom left", offset_m="0"),
        _input("Tom R", "Tom right", offset_m="0.01", distance_m="0.3"),
    )
    assert {f.rule for f in found} == {"stereo_pair", "three_to_one"}
    assert {f.severity for f in found} == {Severity.NOT_MEASURED}


def test_the_tape_predicts_nothing_between_two_points() -> None:
    laid = bench(
        entry("A", unit("Cabinet 1"), reference="grille", distance=0.1),
        entry("B", unit("Cabinet 2"), reference="grille", distance=0.4),
    )
    one, other = laid.inputs
    assert not share_a_point(one, other)
    assert predicted(one, other, 343.2).why_not == (
        "their distances are measured from different points"
    )


def test_against_a_di_only_the_distance_to_the_own_source_counts() -> None:
    cabinet = unit("Cabinet")
    near = entry("Near", cabinet, reference="grille", distance=0.3432)
    laid = bench(unit("Snare"), entry("DI", cabinet, DI), near)
    di, mic = laid.inputs
    assert predicted(di, mic, 343.2).seconds == pytest.approx(0.001)
    far = bench(unit("Snare"), replace(near, reference="snare centre")).inputs[0]
    assert own_distance(far) is None
    assert predicted(di, far, 343.2).why_not == "Near is not measured from its own source"
