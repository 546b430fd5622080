"""A DI and a microphone of one source: the microphone's sound comes later by its distance."""

from __future__ import annotations

from collections.abc import Iterator

from rigs.checks.bench import Bench, BenchInput
from rigs.checks.figures import Figure, length, milliseconds
from rigs.checks.findings import Finding, Rule, Severity, Sure, not_measured
from rigs.checks.paths import (
    LEAST_SECONDS,
    WHY,
    comb_words,
    figures,
    mentions_alignment,
    stated_delay,
)
from rigs.checks.pictures import CombPicture
from rigs.checks.points import own_distance
from rigs.signal.placement import alignment_delay

KEY = "di_and_mic"


def check(bench: Bench) -> Iterator[Finding]:
    dis = [entry for entry in bench.inputs if entry.is_di and entry.unit]
    mics = [entry for entry in bench.inputs if entry.is_mic and entry.unit]
    for di in dis:
        for mic in mics:
            if bench.sources(di) & bench.sources(mic):
                yield from _pair(bench, di, mic)


def _pair(bench: Bench, di: BenchInput, mic: BenchInput) -> Iterator[Finding]:
    ids, both = (di.id, mic.id), f"{di.name} and {mic.name}"
    stated = stated_delay(di, mic)
    distance = own_distance(mic)
    if distance is None:
        from_where = " from its own source" if mic.distance is not None else ""
        yield not_measured(KEY, ids, both, [f"distance of {mic.name}{from_where}"], WHY)
        return
    if stated is None and mentions_alignment(di, mic):
        yield not_measured(KEY, ids, both, ["the delay they are aligned with, in ms"], WHY)
        return
    needed = alignment_delay(distance, bench.speed)
    left = abs(needed - (stated or 0.0))
    if left >= LEAST_SECONDS:
        yield _apart(bench, di, mic, needed, stated)


def _apart(
    bench: Bench, di: BenchInput, mic: BenchInput, needed: float, stated: float | None
) -> Finding:
    left = min(abs(needed - (stated or 0.0)), 1.0)
    inverted = di.reversed_polarity != mic.reversed_polarity
    has = () if stated is None else (Figure("delay stated", stated * 1000, "ms"),)
    shown = milliseconds("delay that aligns the DI", needed)
    return Finding(
        KEY,
        (di.id, mic.id),
        Severity.LOOK,
        f"{di.name} and {mic.name} are apart in time",
        comb_words(left, inverted),
        f"Delay the DI by {shown.shown}, then listen with polarity both ways, and write "
        f"“delay {shown.shown}” in its notes.",
        Sure.ESTIMATE,
        (
            length(f"distance of {mic.name}", mic.distance or 0.0, mic.distance_unit),
            *has,
            shown,
            *figures(left, inverted=inverted),
        ),
        (
            bench.air_words,
            "The DI itself adds no delay; neither does the desk.",
            "Phase shift in amplifier and loudspeaker is not a delay and stays.",
        ),
        CombPicture(left, 0.0, inverted),
    )


RULE = Rule(KEY, "Are a DI and a microphone of one source apart in time?", check)
