"""A left and a right microphone measured from one point should stand equally far from it."""

from __future__ import annotations

from collections.abc import Iterator

from rigs.checks.bench import Bench, BenchInput
from rigs.checks.figures import length
from rigs.checks.findings import Finding, Rule, Severity, Sure, not_measured
from rigs.checks.pairs import SIDES, pairs
from rigs.checks.paths import figures
from rigs.checks.pictures import CombPicture
from rigs.signal.placement import arrival_difference, distance_drop_db, pair_fit

KEY = "stereo_pair"
TOLERANCE_M = 0.01  # what a tape and two stands repeat; common practice, no source
WHY = (
    "What stands at that point arrives at one side first: it leans out of the middle, and in mono "
    "it is notched where the difference is half a wavelength."
)


def check(bench: Bench) -> Iterator[Finding]:
    for left, right in pairs(bench.inputs, SIDES):
        if not left.reference or left.reference != right.reference:
            continue
        missing = [f"distance of {e.name}" for e in (left, right) if e.distance is None]
        if missing:
            ids, both = (left.id, right.id), f"{left.name} and {right.name}"
            yield not_measured(KEY, ids, both, missing, WHY)
        elif found := _compare(bench, left, right):
            yield found


def _compare(bench: Bench, left: BenchInput, right: BenchInput) -> Finding | None:
    a, b = left.distance or 0.0, right.distance or 0.0
    fit = pair_fit((a, 0), (b, 0), (0, 0), TOLERANCE_M)
    if fit.within:
        return None
    near, far = sorted((a, b))
    delay = arrival_difference(near, far, bench.speed)
    drop = distance_drop_db(near, far) if near > 0 else None
    unit = left.distance_unit
    return Finding(
        KEY, (left.id, right.id), Severity.LOOK,
        f"{left.name} and {right.name} are not equally far from the {left.reference}",
        WHY, f"Move one until both tapes read the same, within {TOLERANCE_M * 1000:g} mm.",
        Sure.CERTAIN,
        (
            length(left.name, a, unit), length(right.name, b, unit),
            length("difference", far - near, unit), *figures(delay, drop),
        ),
        (bench.air_words, "Level by the inverse square law, both gains alike."),
        CombPicture(delay, drop or 0.0, left.reversed_polarity != right.reversed_polarity),
    )  # fmt: skip


RULE = Rule(KEY, "Are the two of a stereo pair equally far from their reference?", check)
