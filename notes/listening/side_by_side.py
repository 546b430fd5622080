"""What can be said of two clips side by side, band by band, and what cannot.

A band level read from T seconds through B hertz is itself uncertain: for noise its standard error
is about 4.34/√(BT) dB (1/√(BT) of the power; random-data handbooks, from memory). T is what the
windows of the spectrum leave of the clip (`averaging_s`). A difference of two has √2 times that
error, and one is read only from twice that on, and from 1 dB.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from notes.listening.bands import NOMINAL, Bands, edges, window_length
from notes.listening.compare import in_words
from notes.listening.pauses import near_noise
from notes.listening.relation import Relation

LEAST_DB = 1.0
_FEWEST = 10.0  # bandwidth × time below which no level is read at all
_PER_ROOT_BT = 10 / np.log(10)
_HANN = 0.375**2 / (35 / 128)


@dataclass(frozen=True, slots=True)
class Heard:
    """What comparing needs of one clip. `gain_db` is what it is played with; `pause` None: none."""

    letter: str
    seconds: float
    rate_hz: float
    channels: int
    gain_db: float
    bands: Bands
    pause: Bands | None
    clipped: int = 0


@dataclass(frozen=True, slots=True)
class Reading:
    """`change` is the second minus the first as played, dB per band; NaN where one has nothing.

    `least` is the smallest difference that counts in each band, inf where none does.
    """

    change: NDArray[np.float64]
    least: NDArray[np.float64]
    words: list[str]
    unsaid: list[str]

    @property
    def told(self) -> NDArray[np.float64]:
        """`change` where it counts, NaN elsewhere."""
        with np.errstate(invalid="ignore"):
            return np.where(np.abs(self.change) >= self.least, self.change, np.nan)

    def between(self, low_hz: float, high_hz: float) -> float | None:
        """Mean difference of the bands that touch low to high Hz; None where none counts."""
        low, high = edges()
        inside = (high > low_hz) & (low < high_hz) & np.isfinite(self.least)
        values = self.change[inside & np.isfinite(self.change)]
        if len(values) == 0 or abs(values.mean()) < self.least[inside].min():
            return None
        return float(values.mean())


def averaging_s(seconds: float, rate: float) -> float:
    """How long a stretch of noise the windows of `bands.spectrum` really average over.

    Hann windows of L seconds, each by half over the next, K of them: a Hann window counts for
    (∫w²)²/∫w⁴ = 0.514 of its length, and neighbours are correlated by 1/6 (Welch 1967, from
    memory).
    """
    window = min(seconds, window_length(rate) / rate)
    count = max(1, int(2 * seconds / window - 1))
    return float(_HANN * window * count / (1 + (2 / 36) * (1 - 1 / count)))


def standard_error(seconds: float) -> NDArray[np.float64]:
    """Standard error in dB of each 1/3-octave level of noise averaged for so long."""
    low, high = edges()
    return np.asarray(_PER_ROOT_BT / np.sqrt((high - low) * seconds))


def read(a: Heard, b: Heard, relation: Relation | None) -> Reading:
    """Compare `b` with `a`, both as played. `relation` is None where it could not be found."""
    with np.errstate(invalid="ignore"):
        change = (b.bands.levels + b.gain_db) - (a.bands.levels + a.gain_db)
    change[~np.isfinite(change)] = np.nan
    noisy = _noisy(a) | _noisy(b)
    least = _least(_averaged(a, b))
    least[noisy | np.isnan(change)] = np.inf
    unsaid = [
        *_of_performance(a, b, relation), *_of_time(a, b), *_of_noise(a, b, noisy),
        *_of_recording(a, b),
    ]  # fmt: skip
    reading = Reading(change, least, [], unsaid)
    return Reading(change, least, in_words(reading.told, LEAST_DB), unsaid)


def _least(averaged_s: float) -> NDArray[np.float64]:
    low, high = edges()
    least = np.maximum(LEAST_DB, 2 * np.sqrt(2) * standard_error(averaged_s))
    least[(high - low) * averaged_s < _FEWEST] = np.inf
    return np.asarray(least, dtype=np.float64)


def _averaged(a: Heard, b: Heard) -> float:
    return min(averaging_s(clip.seconds, clip.rate_hz) for clip in (a, b))


def _noisy(clip: Heard) -> NDArray[np.bool_]:
    if clip.pause is None:
        return np.zeros(len(clip.bands.levels), dtype=bool)
    return near_noise(clip.bands, clip.pause)


def _of_performance(a: Heard, b: Heard, relation: Relation | None) -> list[str]:
    pair = f"{a.letter} and {b.letter}"
    if relation is None:
        return [f"{pair} are too short to tell whether they hold one performance or two."]
    if relation.one_performance:
        return []
    if relation.one_performance is None:
        return [
            f"{pair} may be one performance or two: they share {relation.shared:.0%}. They are "
            "not aligned, and part of what differs may be the playing."
        ]
    return [
        f"{pair} are two performances: they share {relation.shared:.0%}. What differs is the "
        "playing as well as the sound, and nothing here parts the two."
    ]


def _of_time(a: Heard, b: Heard) -> list[str]:
    seconds, least = min(a.seconds, b.seconds), _least(_averaged(a, b))
    said = []
    if not np.isfinite(least).all():
        first = int(np.argmax(np.isfinite(least)))
        lowest = f"{_hz(first)}" if np.isfinite(least[first]) else "any band"
        said.append(f"{seconds:.1f} s are too short to read anything below {lowest}.")
    loose = np.isfinite(least) & (least > LEAST_DB)
    if loose.any():
        first = int(np.argmax(loose))
        words = f"In {seconds:.1f} s a difference counts from {least[first]:.1f} dB at {_hz(first)}"
        sure = np.flatnonzero(least <= LEAST_DB)
        if len(sure):
            words += f", and from {LEAST_DB:g} dB at {_hz(int(sure[0]))} and above"
        said.append(f"{words}; what is smaller may be chance.")
    longest = max(a.seconds, b.seconds)
    if longest > 1.1 * seconds:
        said.append(
            f"They are {a.seconds:.1f} s and {b.seconds:.1f} s long: what only one of them holds "
            "is part of the difference."
        )
    return said


def _of_noise(a: Heard, b: Heard, noisy: NDArray[np.bool_]) -> list[str]:
    said = []
    if noisy.any():
        said.append(
            f"Not read at {spans(noisy)}: there the sound stands less than 10 dB above the "
            "quietest moment, so it may be the room."
        )
    steady = [clip.letter for clip in (a, b) if clip.pause is None]
    if steady:
        said.append(
            f"{' and '.join(steady)} {'has' if len(steady) == 1 else 'have'} no pause to read the "
            "noise of the room from: how much of the quiet bands is room cannot be said."
        )
    return said


def _of_recording(a: Heard, b: Heard) -> list[str]:
    said = []
    if a.rate_hz != b.rate_hz:
        said.append(
            f"{a.letter} was taken at {a.rate_hz / 1000:g} kHz and {b.letter} at "
            f"{b.rate_hz / 1000:g} kHz: above {min(a.rate_hz, b.rate_hz) / 2000:g} kHz nothing is "
            "compared."
        )
    if a.channels != b.channels:
        said.append("One is mono and one is stereo: the stereo one is read as the mean of both.")
    said += [
        f"{clip.letter} is clipped in {clip.clipped} place{'s' if clip.clipped != 1 else ''}: "
        "clipping adds high bands of its own."
        for clip in (a, b)
        if clip.clipped
    ]
    return said


def spans(mask: NDArray[np.bool_]) -> str:
    """Runs of bands in words: “20–40 Hz, 16–20 kHz”."""
    marks = np.where(mask, 1.0, np.nan)
    return ", ".join(text.split(" at ", 1)[1] for text in _in_order(marks))


def _in_order(marks: NDArray[np.float64]) -> list[str]:
    # All runs are equally large, and sorting keeps the order of equals.
    return in_words(marks, 0.5)


def _hz(index: int) -> str:
    nominal = NOMINAL[index]
    return f"{nominal / 1000:g} kHz" if nominal >= 1000 else f"{nominal:g} Hz"
