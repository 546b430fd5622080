"""Which notes reach an input: the tunings of the stringed instruments upstream of it. Pure."""

from __future__ import annotations

from typing import NamedTuple

from rigs.checks.bench import Bench, BenchInput, BenchUnit
from rigs.facts import STRINGED
from rigs.signal.notes import format_note, frequency, tuning_range
from rigs.signal.ranges import stated_tuning

FRETS = 24  # the most that is common; stated wherever it is used


class Reach(NamedTuple):
    """The lowest and highest note (MIDI) that the instruments upstream can play."""

    low: int
    high: int

    @property
    def lowest(self) -> tuple[str, float]:
        return format_note(self.low), frequency(float(self.low))

    @property
    def highest(self) -> tuple[str, float]:
        return format_note(self.high), frequency(float(self.high))


def reach(bench: Bench, entry: BenchInput) -> tuple[Reach | None, list[BenchUnit]]:
    """The notes that reach an input, and the instruments upstream whose tuning is not known."""
    lows, highs, unknown = [], [], []
    for unit in bench.upstream(entry.unit):
        if not unit.tuning and unit.gear not in STRINGED:
            continue
        strings = strings_of(unit)
        if strings is None:
            unknown.append(unit)
            continue
        low, high = tuning_range(strings, frets=_frets(strings))
        lows.append(low)
        highs.append(high)
    return (Reach(min(lows), max(highs)) if lows else None), unknown


def strings_of(unit: BenchUnit) -> tuple[int, ...] | None:
    """MIDI numbers of the open strings; None where none are stated or they do not read."""
    try:
        return stated_tuning(unit.tuning)
    except ValueError:
        return None


def _frets(strings: tuple[int, ...]) -> int:
    # A note above the top of the MIDI scale is above every filter, too.
    return min(FRETS, 127 - max(strings))
