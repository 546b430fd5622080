"""Whether microphones of two sources are three times as far apart as each is from its own."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from math import dist

from django.utils.text import format_lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from rigs.checks.bench import Bench, BenchInput
from rigs.checks.figures import decibels, length
from rigs.checks.findings import Certainty, Finding, Rule, Severity, not_measured
from rigs.checks.points import own_distance
from rigs.signal.placement import distance_drop_db, keeps_distance_ratio

KEY = "three_to_one"
WHY = gettext_lazy(
    "Each microphone picks up the other’s source as well. Closer than three "
    "to one that spill is loud enough to notch the sound when both are open."
)
MEASURE = gettext_lazy(
    "Measure how far apart the microphones are: state for each how far right "
    "and in front of one point it is, under “In the plan of a kit”. "
    "Distances to the own source do not say it."
)


def check(bench: Bench) -> Iterator[Finding]:
    mics = [e for e in bench.inputs if e.is_mic and e.units and e.reference and own_distance(e)]
    bare: dict[str, str] = {}  # those of pairs whose spacing nobody took, told together
    for one, other in combinations(mics, 2):
        if one.unit_ids & other.unit_ids:
            continue  # two on one source are another matter
        if one.plan is None or other.plan is None:
            bare |= {e.id: e.name for e in (one, other) if e.plan is None}
        else:
            yield from _spaced(one, other, dist(one.plan, other.plan))
    if bare:
        missing = [
            format_lazy(gettext_lazy("place of {name} in the plan"), name=name)
            for name in bare.values()
        ]
        yield not_measured(
            KEY, tuple(bare), _("Spacing of microphones"), missing, WHY, str(MEASURE)
        )


def _spaced(one: BenchInput, other: BenchInput, spacing: float) -> Iterator[Finding]:
    # The larger of the two asks for the larger spacing, so that both keep the ratio.
    own = max(own_distance(one) or 0.0, own_distance(other) or 0.0)
    if spacing > 0 and not keeps_distance_ratio(own, spacing):
        yield _too_close(one, other, own, spacing)


def _too_close(one: BenchInput, other: BenchInput, own: float, spacing: float) -> Finding:
    unit = one.distance_unit
    return Finding(
        KEY,
        (one.id, other.id),
        Severity.LOOK,
        _("{one} and {other} stand closer than three to one").format(
            one=one.name, other=other.name
        ),
        str(WHY),
        _("Bring each closer to its own source, or further from the other; or gate what rests."),
        Certainty.THUMB,
        (
            length(_("own distance, the larger"), own, unit),
            length(_("between them in plan"), spacing, unit),
            length(_("needed"), 3 * own, unit),
            decibels(_("spill below the own source"), distance_drop_db(own, spacing)),
        ),
        (
            _("As seen from above: how much higher one of them stands is left out."),
            _("Both sources alike in level, in the free field, patterns left out."),
        ),
    )


RULE = Rule(KEY, gettext_lazy("Do two microphones keep three to one?"), check)
