"""A delay measured from clips, beside the one that the documented distances predict."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.text import format_lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.words import all_of, number
from rigs.checks.bench import ASSUMED_CELSIUS, Bench, BenchInput
from rigs.checks.figures import Figure, length, milliseconds
from rigs.checks.findings import Certainty, Finding, Rule, Severity, not_measured
from rigs.checks.paths import agree, is_unclear, predicted
from rigs.checks.pictures import CombPicture
from rigs.places import Measurement
from rigs.signal.air import speed_of_sound

KEY = "measured_delay"
WHY = gettext_lazy(
    "Either the placement is not as it is written down, or something delays "
    "one of the two: a digital unit, a radio, the desk. Whoever sets it up "
    "again by the tape gets another sound."
)
WHY_AGAIN = gettext_lazy(
    "Sound and tape can be set side by side only while both are of one placement."
)


def check(bench: Bench) -> Iterator[Finding]:
    inputs = {entry.id: entry for entry in bench.inputs}
    for each in bench.measured:
        first, second = inputs.get(each.first), inputs.get(each.second)
        if first and second:
            yield from _pair(each, first, second)


def _pair(each: Measurement, first: BenchInput, second: BenchInput) -> Iterator[Finding]:
    ids, both = (
        (first.id, second.id),
        all_of((first.name, second.name)),
    )
    if each.moved_in is not None:
        missing = [
            format_lazy(
                gettext_lazy("the delay since change {number} (record both again)"),
                number=each.moved_in,
            )
        ]
        yield not_measured(KEY, ids, both, missing, WHY_AGAIN)
        return
    if each.through_desk and any(e.delay or is_unclear(e) for e in (first, second)):
        return  # what the desk delayed is in the clips, and how much of it then is not known
    # The air of the day of the recording, not that of the next show.
    celsius = ASSUMED_CELSIUS if each.celsius is None else each.celsius
    tape = predicted(first, second, float(speed_of_sound(celsius)))
    if tape.seconds is None:
        yield not_measured(KEY, ids, both, [tape.why_not], WHY)
    elif not agree(each.delay_s, tape.seconds):
        yield _disagree(each, first, second, tape.seconds, celsius)


def _disagree(
    each: Measurement, first: BenchInput, second: BenchInput, tape: float, celsius: float
) -> Finding:
    # A positive delay means that the second input is later.
    late, early = (second, first) if each.delay_s >= 0 else (first, second)
    measured = abs(each.delay_s)
    off = abs(each.delay_s - tape)
    air = (
        _("Measured from two clips; air at {celsius} °C (assumed).")
        if each.celsius is None
        else _("Measured from two clips; air at {celsius} °C.")
    )
    return Finding(
        KEY,
        (first.id, second.id),
        Severity.LOOK,
        _("{first} and {second}: sound and tape measure disagree").format(
            first=first.name, second=second.name
        ),
        str(WHY),
        _(
            "Measure the distances again and correct them, or look for what delays "
            "one of the two; then record both again."
        ),
        Certainty.ESTIMATE,
        (
            Figure(
                _("{late} later than {early}, measured").format(late=late.name, early=early.name),
                measured * 1000,
                "ms",
            ),
            # Two signs: by the tape the other one may be the later.
            milliseconds(_("the same by the tape"), tape if each.delay_s >= 0 else -tape),
            *(
                length(
                    _("distance of {input}").format(input=entry.name),
                    entry.distance or 0.0,
                    entry.distance_unit,
                )
                for entry in (first, second)
                if not entry.is_di
            ),
            milliseconds(_("disagree by"), off),
        ),
        (
            air.format(celsius=number(celsius)),
            _("What amplifier, loudspeaker and microphone do to phase counts as delay here."),
        ),
        CombPicture(min(measured, 1.0), 0.0, each.polarity < 0),
    )


RULE = Rule(
    KEY, gettext_lazy("Does a delay measured from clips agree with the tape measure?"), check
)
