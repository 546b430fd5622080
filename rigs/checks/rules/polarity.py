"""Polarity of microphones on two faces of one thing, and of a DI with its microphone."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

from rigs.checks.bench import Bench, BenchInput
from rigs.checks.figures import Figure
from rigs.checks.findings import Finding, Rule, Severity, Sure
from rigs.checks.pairs import FACES, pairs

KEY = "polarity"
WHY_BOTH = "Two reversals are none: between the two nothing has changed."
WHY_NEITHER = (
    "A head or a cone that moves towards one microphone moves away from the other, so that added "
    "together the low end cancels."
)


def check(bench: Bench) -> Iterator[Finding]:
    for one, other in _faces(bench):
        if one.reversed_polarity == other.reversed_polarity:
            yield _both(one, other) if one.reversed_polarity else _neither(one, other)
    for di, mic in _di_and_mic(bench):
        if di.reversed_polarity and mic.reversed_polarity:
            yield _both(di, mic)


def _faces(bench: Bench) -> Iterator[tuple[BenchInput, BenchInput]]:
    mics = [entry for entry in bench.inputs if entry.is_mic and entry.unit]
    for one, other in pairs(mics, FACES):
        if one.unit and other.unit and one.unit.id == other.unit.id:
            yield one, other


def _di_and_mic(bench: Bench) -> Iterator[tuple[BenchInput, BenchInput]]:
    dis = [entry for entry in bench.inputs if entry.is_di and entry.unit]
    mics = [entry for entry in bench.inputs if entry.is_mic and entry.unit]
    return ((d, m) for d, m in product(dis, mics) if bench.sources(d) & bench.sources(m))


def _both(one: BenchInput, other: BenchInput) -> Finding:
    return Finding(
        KEY,
        (one.id, other.id),
        Severity.LOOK,
        f"{one.name} and {other.name}: polarity is reversed on both",
        WHY_BOTH,
        "Set one of them back and listen to the low end with both open.",
        Sure.CERTAIN,
        (Figure(one.name, "reversed"), Figure(other.name, "reversed")),
    )


def _neither(one: BenchInput, other: BenchInput) -> Finding:
    return Finding(
        KEY,
        (one.id, other.id),
        Severity.LOOK,
        f"{one.name} and {other.name}: polarity is reversed on neither",
        WHY_NEITHER,
        "Reverse one of them and keep what has more low end.",
        Sure.THUMB,
        (Figure(one.name, "not reversed"), Figure(other.name, "not reversed")),
    )


RULE = Rule(KEY, "Do two faces of one thing, or a DI and its microphone, pull the same way?", check)
