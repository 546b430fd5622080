"""Polarity measured from clips of two captures, with the switches as they are set now."""

from __future__ import annotations

from collections.abc import Iterator

from rigs.changes.edits import Set
from rigs.checks.alignment import is_related, polarities
from rigs.checks.bench import Bench, BenchInput
from rigs.checks.figures import Figure
from rigs.checks.findings import Certainty, Finding, Rule, Severity, not_measured
from rigs.checks.pictures import CombPicture
from rigs.places import Measurement

KEY = "measured_polarity"
WHY = "Added together they cancel what both pick up, the low end first."


WHY_AGAIN = "Three measurements of three inputs cannot all hold: one of them was of other sounds."


def check(bench: Bench) -> Iterator[Finding]:
    inputs = {entry.id: entry for entry in bench.inputs}
    measured = polarities(bench)
    wrong = measured.wrong(bench.inputs)
    for each in bench.measured:
        first, second = inputs.get(each.first), inputs.get(each.second)
        # A measurement made before one of them was moved says nothing of how they stand now.
        if not (first and second) or first is second or each.moved_in is not None:
            continue
        if is_related(measured, first, second) != (0 if each.polarity > 0 else 1):
            yield _contradicted(first, second)
        elif _opposed(each, first, second):
            yield _finding(each, first, second, first if wrong[first.id] else second)


def _opposed(each: Measurement, first: BenchInput, second: BenchInput) -> bool:
    switched = first.reversed_polarity != second.reversed_polarity
    return each.polarity * (-1 if switched else 1) < 0


def _contradicted(first: BenchInput, second: BenchInput) -> Finding:
    missing = ["a polarity that agrees with the other measurements (record them again)"]
    both = f"{first.name} and {second.name}"
    return not_measured(KEY, (first.id, second.id), both, missing, WHY_AGAIN)


def _finding(
    each: Measurement, first: BenchInput, second: BenchInput, turned: BenchInput
) -> Finding:
    way = "normal" if turned.reversed_polarity else "reversed"
    return Finding(
        KEY,
        (first.id, second.id),
        Severity.LOOK,
        f"{first.name} and {second.name} push opposite ways",
        WHY,
        f"Set the polarity of {turned.name} to {way} and keep what has more low end.",
        Certainty.ESTIMATE,
        (
            Figure("measured ahead of the desk", "opposed" if each.polarity < 0 else "alike"),
            *(
                Figure(entry.name, "reversed" if entry.reversed_polarity else "not reversed")
                for entry in (first, second)
            ),
        ),
        ("Measured from two clips; the desk's switches as they are set now.",),
        CombPicture(min(abs(each.delay_s), 1.0), 0.0, inverted=True),
        (Set(turned.id, "input", {"reversed_polarity": not turned.reversed_polarity}),),
    )


RULE = Rule(KEY, "Do two inputs, measured from clips, have the same polarity?", check)
