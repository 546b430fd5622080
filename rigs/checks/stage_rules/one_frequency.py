"""Two units on one frequency at a show, or nearer than their channels are wide."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from itertools import combinations

from core.units import plain
from rigs.checks.figures import Figure
from rigs.checks.findings import Certainty, Finding, Rule, Severity
from rigs.checks.stage import Stage, StageRadio

KEY = "one_frequency"
WHY = "Two transmitters on one frequency make the receivers of both fall silent or roar."
MEND = (
    "Give one of them another frequency, coordinated with all others of the night. Which may be "
    "used, and whether with a licence, is for the law of the place."
)
# The widest channel of a narrow radio microphone, in MHz: ETSI EN 300 422-1, from memory.
USUAL_WIDTH = Decimal("0.2")
ASSUMES = (
    "Where a unit states no width in kHz, its channel is taken to be 200 kHz wide.",
    "Frequencies that several transmitters make together are not looked at here.",
)


def check(stage: Stage) -> Iterator[Finding]:
    together = _paths(stage)
    for one, other in combinations(stage.radios, 2):
        if together[one.id] == together[other.id]:
            continue
        if one.radio.mhz is None or other.radio.mhz is None:
            continue
        apart = abs(one.radio.mhz - other.radio.mhz)
        if apart == 0:
            yield _finding(one, other, Severity.CAUTION, Certainty.CERTAIN)
        elif apart < _needed(one, other):
            yield _finding(one, other, Severity.LOOK, Certainty.ESTIMATE)


def _paths(stage: Stage) -> dict[str, str]:
    """One name for all units of one path: a transmitter with all that listens to it."""
    path = {each.id: each.id for each in stage.radios}
    for each in stage.radios:
        for end in each.linked & path.keys():
            kept, gone = path[each.id], path[end]
            path = {unit: kept if name == gone else name for unit, name in path.items()}
    return path


def _needed(one: StageRadio, other: StageRadio) -> Decimal:
    widths = (each.radio.width or USUAL_WIDTH for each in (one, other))
    return sum(widths, Decimal(0)) / 2


def _finding(
    one: StageRadio, other: StageRadio, severity: Severity, certainty: Certainty
) -> Finding:
    pair, is_one = (one, other), certainty == Certainty.CERTAIN
    said = [f"{plain(each.radio.mhz or Decimal(0))} MHz" for each in pair]
    where = f"are both on {said[0]}" if is_one else "are nearer than their channels are wide"
    told = [*said, *(f"{plain(_needed(one, other))} MHz apart" for _ in range(not is_one))]
    labels = (*(f"frequency of {each.name}" for each in pair), "needed")
    return Finding(
        KEY,
        (one.id, other.id),
        severity,
        f"{one.in_full} and {other.in_full} {where}",
        WHY,
        MEND,
        certainty,
        tuple(Figure(label, text) for label, text in zip(labels, told, strict=False)),
        () if is_one else ASSUMES,
    )


RULE = Rule(KEY, "Are two units on one frequency, or too near to each other?", check)
