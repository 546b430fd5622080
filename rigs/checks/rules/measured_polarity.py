"""Polarity measured from clips of two captures, with the switches as they are set now."""

from __future__ import annotations

from collections.abc import Iterator

from rigs.checks.bench import Bench, BenchInput
from rigs.checks.figures import Figure
from rigs.checks.findings import Finding, Rule, Severity, Sure
from rigs.checks.measured import Measurement
from rigs.checks.pictures import CombPicture

KEY = "measured_polarity"
WHY = "Added together they take from each other what both of them hear, the low end first."


def check(bench: Bench) -> Iterator[Finding]:
    inputs = {entry.id: entry for entry in bench.inputs}
    for each in bench.measured:
        first, second = inputs.get(each.first), inputs.get(each.second)
        if first and second and each.moved_in is None and _opposed(each, first, second):
            yield _found(each, first, second)


def _opposed(each: Measurement, first: BenchInput, second: BenchInput) -> bool:
    switched = first.reversed_polarity != second.reversed_polarity
    return each.polarity * (-1 if switched else 1) < 0


def _found(each: Measurement, first: BenchInput, second: BenchInput) -> Finding:
    return Finding(
        KEY,
        (first.id, second.id),
        Severity.LOOK,
        f"{first.name} and {second.name} push opposite ways",
        WHY,
        f"Set the polarity of {second.name} to "
        f"{'normal' if second.reversed_polarity else 'reversed'} and keep what has more low end.",
        Sure.ESTIMATE,
        (
            Figure("measured ahead of the desk", "opposed" if each.polarity < 0 else "alike"),
            *(
                Figure(entry.name, "reversed" if entry.reversed_polarity else "not reversed")
                for entry in (first, second)
            ),
        ),
        ("Measured from two clips; the desk's switches as they are set now.",),
        CombPicture(min(abs(each.delay_s), 1.0), 0.0, inverted=True),
    )


RULE = Rule(KEY, "Do two captures that were measured from clips push the same way?", check)
