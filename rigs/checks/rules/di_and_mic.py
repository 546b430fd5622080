"""A DI and a microphone of one source: the microphone's sound comes later by its distance."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.text import format_lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.words import all_of
from core.limits import at_least
from rigs.checks.alignment import ArrivalTimes, di_and_mic_pairs, is_opposed, measurement, times
from rigs.checks.bench import Bench, BenchInput
from rigs.checks.figures import Figure, length
from rigs.checks.findings import Certainty, Finding, Rule, Severity, not_measured
from rigs.checks.paths import LEAST_SECONDS, WHY, comb_words, figures, unclear, wait_words
from rigs.checks.pictures import CombPicture
from rigs.checks.points import own_distance

KEY = "di_and_mic"


def check(bench: Bench) -> Iterator[Finding]:
    arrivals = times(bench)
    for di, mic in di_and_mic_pairs(bench):
        yield from _pair(bench, arrivals, di, mic)


def _pair(
    bench: Bench, arrivals: ArrivalTimes, di: BenchInput, mic: BenchInput
) -> Iterator[Finding]:
    if doubt := unclear(KEY, di, mic):
        yield doubt
        return
    later = arrivals.later_by(di, mic)
    if later is None:
        asked = (
            gettext_lazy("distance of {input}")
            if mic.distance is None
            else gettext_lazy("distance of {input} from its own source")
        )
        missing = [format_lazy(asked, input=mic.name)]
        yield not_measured(KEY, (di.id, mic.id), all_of((di.name, mic.name)), missing, WHY)
    elif at_least(abs(later), LEAST_SECONDS):
        yield _finding(bench, arrivals, di, mic, later)


def _finding(
    bench: Bench, arrivals: ArrivalTimes, di: BenchInput, mic: BenchInput, later: float
) -> Finding:
    # A comb is computed for delays up to 1 s (rigs.signal.combs).
    left = min(abs(later), 1.0)
    inverted = is_opposed(bench, di, mic)
    heard = measurement(bench, di, mic)
    edits = arrivals.edits(di, mic)
    set_now = [
        Figure(_("delay of {input}").format(input=e.name), e.delay * 1000, "ms")
        for e in (di, mic)
        if e.delay
    ]
    return Finding(
        KEY,
        (di.id, mic.id),
        Severity.LOOK,
        _("{di} and {mic} are apart in time").format(di=di.name, mic=mic.name),
        comb_words(left, inverted),
        f"{wait_words(edits, di, mic)} {_('Then listen with polarity both ways.')}",
        Certainty.ESTIMATE,
        (*_tape(mic, bool(heard)), *set_now, *figures(left, inverted=inverted)),
        (
            _("By what was measured on clips.") if heard else bench.air_words,
            _("The DI itself adds no delay; neither does the desk."),
            _("Phase shift in amplifier and loudspeaker is not a delay and stays."),
        ),
        CombPicture(left, 0.0, inverted),
        edits,
    )


def _tape(mic: BenchInput, heard: bool) -> Iterator[Figure]:
    distance = own_distance(mic)
    if distance is not None and not heard:
        yield length(_("distance of {input}").format(input=mic.name), distance, mic.distance_unit)


RULE = Rule(KEY, gettext_lazy("Are a DI and a microphone of one source apart in time?"), check)
