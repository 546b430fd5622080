"""A delay measured from clips, beside the one that the documented distances predict."""

from __future__ import annotations

from collections.abc import Iterator

from rigs.checks.bench import ASSUMED_CELSIUS, Bench, BenchInput
from rigs.checks.figures import Figure, length, milliseconds
from rigs.checks.findings import Certainty, Finding, Rule, Severity, not_measured
from rigs.checks.paths import agree, is_unclear, predicted
from rigs.checks.pictures import CombPicture
from rigs.places import Measurement
from rigs.signal.air import speed_of_sound

KEY = "measured_delay"
WHY = (
    "Either the placement is not as it is written down, or something delays one of the two: a "
    "digital unit, a radio, the desk. Whoever sets it up again by the tape gets another sound."
)
WHY_AGAIN = "Sound and tape can be set side by side only while both are of one placement."


def check(bench: Bench) -> Iterator[Finding]:
    inputs = {entry.id: entry for entry in bench.inputs}
    for each in bench.measured:
        first, second = inputs.get(each.first), inputs.get(each.second)
        if first and second:
            yield from _pair(each, first, second)


def _pair(each: Measurement, first: BenchInput, second: BenchInput) -> Iterator[Finding]:
    ids, both = (first.id, second.id), f"{first.name} and {second.name}"
    if each.moved_in is not None:
        missing = [f"the delay since change {each.moved_in} (record both again)"]
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
    assumed = " (assumed)" if each.celsius is None else ""
    return Finding(
        KEY,
        (first.id, second.id),
        Severity.LOOK,
        f"{first.name} and {second.name}: sound and tape measure disagree",
        WHY,
        "Measure the distances again and correct them, or look for what delays one of the two; "
        "then record both again.",
        Certainty.ESTIMATE,
        (
            Figure(f"{late.name} later than {early.name}, measured", measured * 1000, "ms"),
            # Two signs: by the tape the other one may be the later.
            milliseconds("the same by the tape", tape if each.delay_s >= 0 else -tape),
            *(
                length(f"distance of {entry.name}", entry.distance or 0.0, entry.distance_unit)
                for entry in (first, second)
                if not entry.is_di
            ),
            milliseconds("disagree by", off),
        ),
        (
            f"Measured from two clips; air at {celsius:g} °C{assumed}.",
            "What amplifier, loudspeaker and microphone do to phase counts as delay here.",
        ),
        CombPicture(min(measured, 1.0), 0.0, each.polarity < 0),
    )


RULE = Rule(KEY, "Does a delay measured from clips agree with the tape measure?", check)
