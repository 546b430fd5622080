"""Two paths of one sound: how far apart in time, and what they do to each other. Pure."""

from __future__ import annotations

import re

from rigs.checks.bench import BenchInput
from rigs.checks.figures import Figure, decibels, hertz, milliseconds
from rigs.signal.combs import nulls, ripple

# Paths closer than this put their first notch at 2 kHz or above, where the sources that get two
# paths (amplifiers, drums) have less to lose. Rule of thumb, no source.
LEAST_SECONDS = 0.00025

_STATED = re.compile(r"(?:delay|align)\w*\D{0,20}?(\d+(?:[.,]\d+)?)\s*ms", re.IGNORECASE)
_MENTIONED = re.compile(r"\balign|\bdelay", re.IGNORECASE)


def figures(delay: float, level_difference: float | None = None) -> tuple[Figure, ...]:
    """Delay in s, first notch, and the notch's depth where the level difference is known."""
    shown = [milliseconds("apart by", delay)]
    notch = nulls(delay, highest=40e3)
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
