"""Which notes reach an input: the tunings of the stringed instruments upstream of it. Pure."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy

from rigs.checks.bench import AskedTuning, Bench, BenchInput, BenchUnit
from rigs.checks.figures import listed, quoted
from rigs.signal.notes import format_note, frequency, tuning_range
from rigs.signal.ranges import stated_tuning

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

FRETS = 24  # the most that is common; stated wherever it is used


class Unread(NamedTuple):
    """A unit whose tuning is not stated as notes, or that of one of its songs."""

    unit: BenchUnit
    words: StrOrPromise


class Reach(NamedTuple):
    """The lowest and highest note (MIDI) that the instruments upstream can play.

    `low_in` and `high_in` say in which song, where it is not so as usual.
    """

    low: int
    high: int
    low_in: str = ""
    high_in: str = ""

    @property
    def lowest(self) -> tuple[str, float]:
        return format_note(self.low), frequency(float(self.low))

    @property
    def highest(self) -> tuple[str, float]:
        return format_note(self.high), frequency(float(self.high))


def reach(bench: Bench, entry: BenchInput) -> tuple[Reach | None, list[Unread]]:
    """The notes that reach an input, whatever the song, and the tunings that are not known."""
    read, unknown = [], []
    for unit in bench.upstream(*entry.units):
        for asked in bench.tunings_of(unit):
            if not asked.tuning and not unit.traits.strung:
                continue
            strings = strings_in(asked.tuning)
            if strings is None:
                unknown.append(Unread(unit, _unread(unit, asked)))
                continue
            read.append((*tuning_range(strings, frets=_frets(strings)), asked.words))
    if not read:
        return None, unknown
    # Of equal notes the usual one is named, which has no words.
    low, low_in = min((low, words) for low, _, words in read)
    high, _, high_in = max((high, not words, words) for _, high, words in read)
    return Reach(low, high, low_in, high_in), unknown


def _unread(unit: BenchUnit, asked: AskedTuning) -> StrOrPromise:
    """The unit, with the songs that ask for the tuning where it is not the usual one. Lazy."""
    if not asked.songs:
        return unit.name
    return format_lazy(
        gettext_lazy("{unit} in {songs}, tuned to {tuning}"),
        unit=unit.name,
        songs=listed([quoted(song) for song in asked.songs]),
        tuning=asked.tuning,
    )


def strings_in(tuning: str) -> tuple[int, ...] | None:
    """The MIDI numbers of open strings; None where a tuning is empty or cannot be read."""
    try:
        return stated_tuning(tuning)
    except ValueError:
        return None


def _frets(strings: tuple[int, ...]) -> int:
    # A note above the top of the MIDI scale is above every filter, too.
    return min(FRETS, 127 - max(strings))
