"""Two microphones of two sources: three times as far from each other as each from its own."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from rigs.checks.bench import Bench, BenchInput
from rigs.checks.figures import decibels, length
from rigs.checks.findings import Finding, Rule, Severity, Sure, not_measured
from rigs.signal.placement import distance, distance_drop_db, keeps_distance_ratio

KEY = "three_to_one"
WHY = (
    "Each microphone hears the other’s source as well. Closer than three to one that spill is loud "
    "enough to notch the sound when both are open."
)


def check(bench: Bench) -> Iterator[Finding]:
    mics = [e for e in bench.inputs if e.is_mic and e.unit and e.reference and e.distance]
    bare: dict[str, str] = {}  # inputs of pairs that have no offset at all, told together
    for one, other in combinations(mics, 2):
        if one.reference != other.reference or _unit(one) == _unit(other):
            continue  # another reference gives no spacing; one source is another matter
        offsets = [e for e in (one, other) if e.offset is not None]
        if len(offsets) == 2:
            yield from _spaced(one, other)
        elif offsets:
            lone = other if offsets[0] is one else one
            missing = [f"sideways offset of {lone.name}"]
            both = f"{one.name} and {other.name}"
            yield not_measured(KEY, (one.id, other.id), both, missing, WHY)
        else:
            bare |= {one.id: one.name, other.id: other.name}
    if bare:
        missing = [f"sideways offset of {name}" for name in bare.values()]
        yield not_measured(KEY, tuple(bare), "Spacing of microphones", missing, WHY)


def _unit(entry: BenchInput) -> str:
    return entry.unit.id if entry.unit else ""


def _spaced(one: BenchInput, other: BenchInput) -> Iterator[Finding]:
    own = max(one.distance or 0.0, other.distance or 0.0)
    apart = distance(_place(one, other), _place(other, one))
    if apart > 0 and not keeps_distance_ratio(own, apart):
        yield _too_close(one, other, own, apart)


def _place(entry: BenchInput, other: BenchInput) -> tuple[float, float, float]:
    # Heights count where both are stated; a lone one says nothing of the spacing.
    both = entry.height is not None and other.height is not None
    return entry.offset or 0.0, entry.distance or 0.0, (entry.height or 0.0) if both else 0.0


def _too_close(one: BenchInput, other: BenchInput, own: float, apart: float) -> Finding:
    unit = one.distance_unit
    return Finding(
        KEY,
        (one.id, other.id),
        Severity.LOOK,
        f"{one.name} and {other.name} stand closer than three to one",
        WHY,
        "Bring each closer to its own source, or further from the other; or gate what rests.",
        Sure.THUMB,
        (
            length("own distance, the larger", own, unit),
            length("between them", apart, unit),
            length("needed", 3 * own, unit),
            decibels("spill below the own source", distance_drop_db(own, apart)),
        ),
        (
            "Distance is taken square to the reference and offset along it.",
            "Both sources alike in level, in the free field, patterns left out.",
        ),
    )


RULE = Rule(KEY, "Do two microphones keep three to one?", check)
