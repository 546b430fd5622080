"""How much later sound should reach one input than another, by the tape measure. Pure."""

from __future__ import annotations

from typing import NamedTuple

from rigs.checks.bench import BenchInput
from rigs.checks.points import own_distance, share_a_point
from rigs.signal.placement import arrival_difference


class Predicted(NamedTuple):
    """`seconds` by which the second is later, None where the tape cannot say: `why_not`."""

    seconds: float | None
    why_not: str = ""


def predicted(first: BenchInput, second: BenchInput, speed: float) -> Predicted:
    """From the documented distances. A DI hears through a cable: no time that counts."""
    if why_not := _why_not(first, second):
        return Predicted(None, why_not)
    paths = [0.0 if entry.is_di else entry.distance or 0.0 for entry in (first, second)]
    return Predicted(float(arrival_difference(paths[0], paths[1], speed)))


def _why_not(first: BenchInput, second: BenchInput) -> str:
    mics = [entry for entry in (first, second) if not entry.is_di]
    for entry in mics:
        if entry.distance is None:
            return f"{entry.name} has no measured distance"
    if len(mics) == 2 and not share_a_point(first, second):
        return "their distances are measured from different points"
    # Against a DI the distance has to be that to the source itself.
    if len(mics) == 1 and own_distance(mics[0]) is None:
        return f"{mics[0].name} is not measured from its own source"
    return ""


# How far tape and sound may lie apart: 0.1 ms is 3 cm of air, which is how well anybody measures
# to a cone behind a grille, and a tenth of the whole. Common practice, no source.
AGREE_SECONDS, AGREE_SHARE = 0.0001, 0.1


def agree(measured: float, by_tape: float) -> bool:
    return abs(measured - by_tape) <= max(AGREE_SECONDS, AGREE_SHARE * abs(by_tape))
