"""Two microphones on one unit, one further away: the same sound twice, once later."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from rigs.checks.bench import Bench, BenchInput
from rigs.checks.figures import length
from rigs.checks.findings import Finding, Rule, Severity, Sure, not_measured
from rigs.checks.pairs import FACES, SIDES, pairs
from rigs.checks.paths import (
    LEAST_SECONDS,
    WHY,
    comb_words,
    figures,
    mentions_alignment,
    stated_delay,
)
from rigs.checks.pictures import CombPicture
from rigs.checks.points import NO_COMMON_POINT, how_to_share, share_a_point
from rigs.signal.placement import arrival_difference

KEY = "two_mics"


def check(bench: Bench) -> Iterator[Finding]:
    # Pairs by name have rules of their own: a stereo pair, and the two faces of a drum.
    named = {(a.id, b.id) for words in (SIDES, FACES) for a, b in pairs(bench.inputs, words)}
    mics = [entry for entry in bench.inputs if entry.is_mic and entry.unit and entry.reference]
    for one, other in combinations(mics, 2):
        if (
            _one_source(one, other)
            and (one.id, other.id) not in named
            and (other.id, one.id) not in named
        ):
            yield from _pair(bench, one, other)


def _one_source(one: BenchInput, other: BenchInput) -> bool:
    return one.unit is not None and other.unit is not None and one.unit.id == other.unit.id


def _pair(bench: Bench, one: BenchInput, other: BenchInput) -> Iterator[Finding]:
    ids, both = (one.id, other.id), f"{one.name} and {other.name}"
    if not share_a_point(one, other):
        how = how_to_share(one, other)
        yield not_measured(KEY, ids, both, [NO_COMMON_POINT], WHY, how)
        return
    missing = [f"distance of {e.name}" for e in (one, other) if e.distance is None]
    stated = stated_delay(one, other)
    if not missing and stated is None and mentions_alignment(one, other):
        missing = ["the delay they are aligned with, in ms"]
    if missing:
        yield not_measured(KEY, ids, both, missing, WHY)
        return
    near, far = sorted((one.distance or 0.0, other.distance or 0.0))
    delay = abs(arrival_difference(near, far, bench.speed) - (stated or 0.0))
    if delay >= LEAST_SECONDS:
        yield _apart(bench, one, other, min(delay, 1.0))


def _apart(bench: Bench, one: BenchInput, other: BenchInput, delay: float) -> Finding:
    inverted = one.reversed_polarity != other.reversed_polarity
    near, far = sorted((one, other), key=lambda entry: entry.distance or 0.0)
    return Finding(
        KEY,
        (one.id, other.id),
        Severity.LOOK,
        f"{one.name} and {other.name} are apart in time",
        comb_words(delay, inverted),
        "Bring them equally far from what they hear, or delay the nearer one and write "
        "“delay … ms” in its notes; then listen with polarity both ways.",
        Sure.ESTIMATE,
        (
            length(f"distance of {near.name}", near.distance or 0.0, near.distance_unit),
            length(f"distance of {far.name}", far.distance or 0.0, far.distance_unit),
            *figures(delay, inverted=inverted),
        ),
        (bench.air_words, "Drawn for equal levels at the desk, where the notches are deepest."),
        CombPicture(delay, 0.0, inverted),
    )


RULE = Rule(KEY, "Are two microphones on one source apart in time?", check)
