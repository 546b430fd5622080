"""A left and a right microphone measured from one point should stand equally far from it."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import NamedTuple

from django.utils.text import format_lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.words import all_of, number
from rigs.checks.alignment import measurement
from rigs.checks.bench import Bench, BenchInput
from rigs.checks.figures import Figure, length
from rigs.checks.findings import Certainty, Finding, Rule, Severity, not_measured
from rigs.checks.pairs import SIDES, pairs
from rigs.checks.paths import figures
from rigs.checks.pictures import CombPicture
from rigs.checks.points import NO_COMMON_POINT, how_to_share, share_a_point
from rigs.signal.placement import arrival_difference, distance_drop_db, pair_fit

KEY = "stereo_pair"
# Where the engineer has set none: what a tape and two stands repeat; common practice, no source.
DEFAULT_M = 0.01
WHY = gettext_lazy(
    "What stands at that point arrives at one side first: it leans out of "
    "the middle, and in mono it is notched where the difference is half a "
    "wavelength."
)


class Tolerance(NamedTuple):
    """A tolerance in metres, with words on where it is from; `stated` is False for the default."""

    metres: float
    words: str
    stated: bool

    @property
    def shown(self) -> str:
        return f"{_millimetres(self.metres)} mm"


def _millimetres(metres: float) -> str:
    return number(Decimal(f"{metres * 1000:g}"))


def check(bench: Bench) -> Iterator[Finding]:
    for left, right in pairs(bench.inputs, SIDES):
        if not (left.reference and right.reference):
            continue
        if measurement(bench, left, right):
            continue  # what was measured on clips knows better than the tape
        ids, both = (
            (left.id, right.id),
            all_of((left.name, right.name)),
        )
        missing = [
            format_lazy(gettext_lazy("distance of {input}"), input=e.name)
            for e in (left, right)
            if e.distance is None
        ]
        if not share_a_point(left, right):
            how = how_to_share(left, right)
            yield not_measured(KEY, ids, both, [NO_COMMON_POINT], WHY, how)
        elif missing:
            yield not_measured(KEY, ids, both, missing, WHY)
        elif finding := _compare(bench, left, right):
            yield finding


def _compare(bench: Bench, left: BenchInput, right: BenchInput) -> Finding | None:
    a, b = left.distance or 0.0, right.distance or 0.0
    allowed = tolerance(left, right)
    fit = pair_fit((a, 0), (b, 0), (0, 0), allowed.metres)
    if fit.within:
        return None
    near, far = sorted((a, b))
    delay = arrival_difference(near, far, bench.speed)
    drop = distance_drop_db(near, far) if near > 0 else None
    unit = left.distance_unit
    inverted = left.reversed_polarity != right.reversed_polarity
    on_a_unit = left.point is not None and left.point.unit
    return Finding(
        KEY,
        (left.id, right.id),
        Severity.LOOK,
        _("{left} and {right} are not equally far from the {reference}").format(
            left=left.name, right=right.name, reference=left.reference
        ),
        str(WHY),
        _("Move one until both tapes read the same, within {width}.").format(width=allowed.shown),
        Certainty.CERTAIN if on_a_unit else Certainty.ESTIMATE,
        (
            length(left.name, a, unit),
            length(right.name, b, unit),
            length(_("difference"), far - near, unit),
            *figures(delay, drop, inverted),
            *_stated(allowed),
        ),
        (
            allowed.words,
            bench.air_words,
            _("Level by the inverse square law, both gains alike."),
            *(
                ()
                if on_a_unit
                else (
                    _("“{reference}” is one and the same point for both.").format(
                        reference=left.reference
                    ),
                )
            ),
        ),
        CombPicture(delay, drop or 0.0, inverted),
    )


def tolerance(left: BenchInput, right: BenchInput) -> Tolerance:
    """The tightest that is stated on a unit of the pair; 10 mm where none is."""
    units = [unit for entry in (left, right) for unit in entry.units]
    stated = [(u.facts["pair_tolerance"], u.name) for u in units if "pair_tolerance" in u.facts]
    if not stated:
        return Tolerance(
            DEFAULT_M,
            _(
                "Up to {width} mm counts as equal: no tolerance is stated on a unit of the pair."
            ).format(width=_millimetres(DEFAULT_M)),
            False,
        )
    metres, name = min(stated)
    return Tolerance(
        metres,
        _("Up to {width} mm counts as equal, as stated on {unit}.").format(
            width=_millimetres(metres), unit=name
        ),
        True,
    )


def _stated(allowed: Tolerance) -> Iterator[Figure]:
    # The default is no figure of the finding: words that accepted it before one could be set hold.
    if allowed.stated:
        yield length(_("tolerance"), allowed.metres, "mm")


RULE = Rule(
    KEY, gettext_lazy("Are the two of a stereo pair equally far from their reference?"), check
)
