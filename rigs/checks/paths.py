"""Two paths of one sound: how far apart in time, and what they do to each other. Pure.

Also how much later sound should reach one input than another, by the measured distances.
"""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from django.utils.text import format_lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.words import all_of, number
from core.limits import at_most
from rigs.changes.edits import Set
from rigs.checks.bench import BenchInput
from rigs.checks.figures import Figure, decibels, hertz, listed, milliseconds
from rigs.checks.findings import Finding, not_measured
from rigs.checks.points import own_distance, share_a_point
from rigs.signal.combs import lowest_edge, nulls, ripple
from rigs.signal.placement import arrival_difference

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

# Paths closer than this put their first notch at 2 kHz or above, where the sources that get two
# paths (amplifiers, drums) have less to lose. Rule of thumb, no source.
LEAST_SECONDS = 0.00025

LONGEST_MS = 1000.0  # that a field takes
# What lines channels up is air on one stage: 100 ms are 34 m of it. Common practice, no source.
_LONGEST_NOTED_MS = 100.0
_FIGURE = re.compile(r"([-−–+±]?)\s?(\d+(?:[.,]\d+)?)\s*ms\b", re.IGNORECASE)
_SENTENCE = re.compile(r"[;\n]|[.!?](?=\s|$)")
# A delay is read only from a clause that says nothing else, …
_PLAIN = re.compile(
    r"delay(?:ed|ing)?|align(?:ed|ment)?|time|by|of|to|at|set|now|ear|tape|the|a|desk|console|"
    r"channel|input|this|here|on|in|its?|is|up"
)
# … in a sentence that could not take it back, or mean another channel.
_TURNED = re.compile(
    r"\b(?:no|not|never|without|was|were|until|minus|instead|or|but|di|mic\w*|other|later|earlier|"
    r"before|after|behind)\b",
    re.IGNORECASE,
)
_MENTIONED = re.compile(r"\balign|\bdelay", re.IGNORECASE)
# Words of echoes, which are sounds of their own and no way to bring two channels together.
_EFFECT = re.compile(
    r"\b(?:pedal|echo\w*|repeats?|dotted|taps?|tempo|slap\w*|feedback|ping|triplets?|quarters?|"
    r"eighths?|crotchets?|quavers?|reverb|throws?|fx|effects?|sends?)\b",
    re.IGNORECASE,
)


# Where the ear places a notch, by its frequency in Hz. Common practice, no source.
_LOW_HZ, _HIGH_HZ = 250.0, 4000.0
WHY = gettext_lazy(
    "Both carry the same sound. Added together, what comes later combs it: "
    "notches from half a turn of the wave upwards. Lows go missing when "
    "polarity is opposed."
)


def comb_words(delay: float, inverted: bool) -> str:
    """A text on what two equal paths `delay` seconds apart do to each other when added.

    It says which part of the sound the delay takes, and which the polarity.
    """
    notch = nulls(delay, highest=40e3, inverted=inverted)
    edge = hertz("", lowest_edge(delay, inverted)).shown
    if not notch.size:
        return str(WHY)
    first = hertz("", float(notch[0])).shown
    if inverted:
        return _(
            "Both carry the same sound. Their polarity is opposed, so below {edge} "
            "they take from each other, the lows most; the delay combs what lies "
            "above, from {first} up."
        ).format(edge=edge, first=first)
    return _part(float(notch[0])).format(first=first, edge=edge)


def _part(hz: float) -> str:
    if hz < _LOW_HZ:
        return _(
            "Both carry the same sound. Added together the delay combs the lows: the first notch "
            "is at {first}. Below {edge} they add; lows that go missing are a matter of polarity."
        )
    if hz < _HIGH_HZ:
        return _(
            "Both carry the same sound. Added together the delay combs the mids: the first notch "
            "is at {first}. Below {edge} they add; lows that go missing are a matter of polarity."
        )
    return _(
        "Both carry the same sound. Added together the delay combs the top: the first notch is "
        "at {first}. Below {edge} they add; lows that go missing are a matter of polarity."
    )


def figures(
    delay: float, level_difference: float | None = None, inverted: bool = False
) -> tuple[Figure, ...]:
    """The delay in s, the first notch, and its depth where the level difference in dB is known."""
    shown = [milliseconds(_("apart by"), delay)]
    notch = nulls(delay, highest=40e3, inverted=inverted)
    if notch.size:
        shown.append(hertz(_("first notch"), float(notch[0]), lasting=False))
    if level_difference is not None:
        shown.append(decibels(_("depth of the notches"), ripple(level_difference).null_db))
    return tuple(shown)


def noted_delay(entry: BenchInput) -> float | None:
    """The delay of this channel in ms, where its notes state it beyond doubt.

    Such notes are “delay 3.1 ms” or “3.1 ms delay at the desk”. None where they say nothing, or may
    mean something else: with a minus, a “not” or the name of another channel it may not be this one
    that waits, two figures leave open which one counts, and an echo is an effect.
    """
    if _EFFECT.search(entry.notes):
        return None
    asked = [each for each in _SENTENCE.split(entry.notes) if _MENTIONED.search(each)]
    clauses = [part for each in asked for part in each.split(", ") if _MENTIONED.search(part)]
    if len(clauses) != 1 or _TURNED.search(asked[0]):
        return None
    matches = _FIGURE.findall(clauses[0])
    clause = _FIGURE.sub(" ", clauses[0]).casefold()
    if (
        len(matches) != 1
        or matches[0][0]
        or not all(map(_PLAIN.fullmatch, re.findall(r"\w+", clause)))
    ):
        return None
    shown = float(matches[0][1].replace(",", "."))
    return shown if 0 < shown <= _LONGEST_NOTED_MS else None


def is_unclear(entry: BenchInput) -> bool:
    """Whether its notes speak of a delay of the desk that its field does not have."""
    if entry.delay is not None or _EFFECT.search(entry.notes):
        return False
    return bool(_MENTIONED.search(entry.notes))


def unclear(rule: str, one: BenchInput, other: BenchInput) -> Finding | None:
    """A finding where notes speak of a delay that no field has; None where they do not.

    Its edits are the delays that the notes state beyond doubt.
    """
    asked = [entry for entry in (one, other) if is_unclear(entry)]
    if not asked:
        return None
    read = [(entry, noted_delay(entry)) for entry in asked]
    edits = tuple(Set(entry.id, "input", {"delay_ms": f"{ms:g}"}) for entry, ms in read if ms)
    clear = [f"{entry.name} {number(ms)} ms" for entry, ms in read if ms]
    stated = (
        [_("Take over what the notes say, if it is right: {names}.").format(names=listed(clear))]
        if clear
        else []
    )
    stated += [
        _("The notes of {entry} do not say it clearly: enter what is set, or 0.").format(
            entry=entry.name
        )
        for entry, ms in read
        if not ms
    ]
    return replace(
        not_measured(
            rule,
            (one.id, other.id),
            all_of((one.name, other.name)),
            [format_lazy(gettext_lazy("delay of {input}"), input=entry.name) for entry in asked],
            _(
                "Notes are for people. A delay counts once it stands in the field of the "
                "channel that it is set on."
            ),
            " ".join(stated),
        ),
        edits=edits,
    )


def wait_words(edits: tuple[Set, ...], *entries: BenchInput) -> str:
    """A sentence on the delays that bring inputs together: “Delay Bass DI by 0.58 ms.”"""
    names = {entry.id: entry.name for entry in entries}
    delays = [
        _("{input} by {delay} ms").format(
            input=names[edit.part], delay=number(Decimal(str(edit.fields["delay_ms"])), 2)
        )
        for edit in edits
    ]
    return (
        _("Delay {names}.").format(names=all_of(delays)) if delays else _("Line them up in time.")
    )


class Predicted(NamedTuple):
    """The seconds by which the second is later; None with `why_not` where the tape cannot say."""

    seconds: float | None
    why_not: StrOrPromise = ""


def predicted(first: BenchInput, second: BenchInput, speed: float) -> Predicted:
    """By how much `second` should be later than `first`, from their documented distances.

    `speed` is in m/s. A DI hears through a cable, which takes no time that counts.
    """
    if why_not := _why_not(first, second):
        return Predicted(None, why_not)
    paths = [0.0 if entry.is_di else entry.distance or 0.0 for entry in (first, second)]
    return Predicted(float(arrival_difference(paths[0], paths[1], speed)))


def _why_not(first: BenchInput, second: BenchInput) -> StrOrPromise:
    mics = [entry for entry in (first, second) if not entry.is_di]
    for entry in mics:
        if entry.distance is None:
            return format_lazy(gettext_lazy("{input} has no measured distance"), input=entry.name)
    if len(mics) == 2 and not share_a_point(first, second):
        return gettext_lazy("their distances are measured from different points")
    # Against a DI the distance has to be that to the source itself.
    if len(mics) == 1 and own_distance(mics[0]) is None:
        return format_lazy(
            gettext_lazy("{input} is not measured from its own source"), input=mics[0].name
        )
    return ""


# How far tape and sound may lie apart: 0.1 ms is 3 cm of air, which is how well anybody measures
# to a cone behind a grille, and a tenth of the whole. Common practice, no source.
AGREE_SECONDS, AGREE_SHARE = 0.0001, 0.1


def agree(measured: float, by_tape: float) -> bool:
    """Whether a measured difference in s agrees with that of the tape measure."""
    return at_most(abs(measured - by_tape), max(AGREE_SECONDS, AGREE_SHARE * abs(by_tape)))
