"""Two microphones on one unit at unequal distances, which hear one sound at two times."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.text import format_lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.words import all_of
from core.limits import at_least
from rigs.checks.alignment import ArrivalTimes, is_opposed, measurement, mic_pairs, times
from rigs.checks.bench import Bench, BenchInput
from rigs.checks.figures import Figure, length
from rigs.checks.findings import Certainty, Finding, Rule, Severity, not_measured
from rigs.checks.paths import LEAST_SECONDS, WHY, comb_words, figures, unclear, wait_words
from rigs.checks.pictures import CombPicture
from rigs.checks.points import NO_COMMON_POINT, how_to_share, share_a_point

KEY = "two_mics"


def check(bench: Bench) -> Iterator[Finding]:
    arrivals = times(bench)
    for one, other in mic_pairs(bench):
        yield from _pair(bench, arrivals, one, other)


def _pair(
    bench: Bench, arrivals: ArrivalTimes, one: BenchInput, other: BenchInput
) -> Iterator[Finding]:
    if doubt := unclear(KEY, one, other):
        yield doubt
        return
    later = arrivals.later_by(one, other)
    if later is None:
        yield _lacking(one, other)
    elif at_least(abs(later), LEAST_SECONDS):
        yield _finding(bench, arrivals, one, other, later)


def _lacking(one: BenchInput, other: BenchInput) -> Finding:
    ids, both = (one.id, other.id), all_of((one.name, other.name))
    if not share_a_point(one, other):
        return not_measured(KEY, ids, both, [NO_COMMON_POINT], WHY, how_to_share(one, other))
    missing = [
        format_lazy(gettext_lazy("distance of {input}"), input=e.name)
        for e in (one, other)
        if e.distance is None
    ]
    return not_measured(KEY, ids, both, missing, WHY)


def _finding(
    bench: Bench, arrivals: ArrivalTimes, one: BenchInput, other: BenchInput, later: float
) -> Finding:
    # A comb is computed for delays up to 1 s (rigs.signal.combs).
    difference = min(abs(later), 1.0)
    inverted = is_opposed(bench, one, other)
    early, late = (one, other) if later > 0 else (other, one)
    edits = arrivals.edits(early, late)
    return Finding(
        KEY,
        (one.id, other.id),
        Severity.LOOK,
        _("{one} and {other} are apart in time").format(one=one.name, other=other.name),
        comb_words(difference, inverted),
        " ".join(
            (
                wait_words(edits, early, late),
                _("Or place them at equal distances from the source."),
                _("Then listen with polarity both ways."),
            )
        ),
        Certainty.ESTIMATE,
        (*_known(bench, early, late), *figures(difference, inverted=inverted)),
        (
            _("By what was measured on clips.")
            if measurement(bench, one, other)
            else bench.air_words,
            _("Drawn for equal levels at the desk, where the notches are deepest."),
        ),
        CombPicture(difference, 0.0, inverted),
        edits,
    )


def _known(bench: Bench, early: BenchInput, late: BenchInput) -> Iterator[Figure]:
    heard = measurement(bench, early, late) is not None
    for entry in (early, late):
        if entry.distance is not None and not heard:
            yield length(
                _("distance of {input}").format(input=entry.name),
                entry.distance,
                entry.distance_unit,
            )
        if entry.delay:
            yield Figure(_("delay of {input}").format(input=entry.name), entry.delay * 1000, "ms")


RULE = Rule(KEY, gettext_lazy("Are two microphones on one source apart in time?"), check)
