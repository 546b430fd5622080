"""Two paths of one sound: how far apart in time, and what they do to each other. Pure."""

from __future__ import annotations

import re

from rigs.checks.bench import BenchInput
from rigs.checks.figures import Figure, decibels, hertz, milliseconds
from rigs.signal.combs import lowest_edge, nulls, ripple

# Paths closer than this put their first notch at 2 kHz or above, where the sources that get two
# paths (amplifiers, drums) have less to lose. Rule of thumb, no source.
LEAST_SECONDS = 0.00025

_STATED = re.compile(r"(?:delay|align)\w*\D{0,20}?(\d+(?:[.,]\d+)?)\s*ms", re.IGNORECASE)
_MENTIONED = re.compile(r"\balign|\bdelay", re.IGNORECASE)


# Where the ear places a notch, by its frequency in Hz. Common practice, no source.
_LOW_HZ, _HIGH_HZ = 250.0, 4000.0
WHY = (
    "Both carry the same sound. Added together, what comes later combs it: notches from half a "
    "turn of the wave upwards. Lows go missing when polarity is opposed."
)


def comb_words(delay: float, inverted: bool) -> str:
    """What two paths `delay` seconds apart do to each other when added: which part of the sound
    the delay takes, and which polarity."""
    notch = nulls(delay, highest=40e3, inverted=inverted)
    edge = hertz("", lowest_edge(delay, inverted)).shown
    if not notch.size:
        return WHY
    first = hertz("", float(notch[0])).shown
    if inverted:
        return (
            f"Both carry the same sound. Their polarity is opposed, so below {edge} they take from "
            f"each other, the lows most; the delay combs what lies above, from {first} up."
        )
    return (
        f"Both carry the same sound. Added together the delay combs {_part(float(notch[0]))}: the "
        f"first notch is at {first}. Below {edge} they add; lows that go missing are a "
        "matter of polarity."
    )


def _part(hz: float) -> str:
    return "the lows" if hz < _LOW_HZ else "the mids" if hz < _HIGH_HZ else "the top"


def figures(
    delay: float, level_difference: float | None = None, inverted: bool = False
) -> tuple[Figure, ...]:
    """Delay in s, first notch, and the notch's depth where the level difference is known."""
    shown = [milliseconds("apart by", delay)]
    notch = nulls(delay, highest=40e3, inverted=inverted)
    if notch.size:
        shown.append(hertz("first notch", float(notch[0]), lasting=False))
    if level_difference is not None:
        shown.append(decibels("depth of the notches", ripple(level_difference).null_db))
    return tuple(shown)


def stated_delay(*inputs: BenchInput) -> float | None:
    """Seconds of delay that the notes of an input state, such as “delay 3.1 ms”."""
    for entry in inputs:
        found = _STATED.search(entry.notes)
        if found:
            return float(found[1].replace(",", ".")) / 1000
    return None


def mentions_alignment(*inputs: BenchInput) -> bool:
    return any(_MENTIONED.search(entry.notes) for entry in inputs)
