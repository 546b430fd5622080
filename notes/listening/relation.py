"""Whether two clips hold one performance, and how far apart in time they hold it."""

from __future__ import annotations

from dataclasses import dataclass
from math import gcd

import numpy as np
import scipy  # its parts load when they are first used
from numpy.typing import NDArray

from notes.listening.align import align
from notes.listening.delay import Delay, averages_of, delay_between, unbiased
from notes.listening.samples import Samples, as_frames, check_rate

METHOD = "relation/2"
_RATE = 12_000
_LONGEST_S = 30.0
_REACH_S = 2.0
_SEGMENT = 2048  # 0.17 s at 12 kHz
_PERIOD_S = 0.05  # longer than that of any note that is heard as one
# Where one performance ends and two begin is a convention of this module, with room for doubt
# between: docs/comparing.md says what it rests on.
ONE, TWO = 0.75, 0.45


@dataclass(frozen=True, slots=True)
class Relation:
    """`delay_s` is positive when the second clip is later; 0 unless they hold one performance.

    `shared` is the coherence of the two, 0 to 1, weighted by their power: how much of the one
    is a steady filtering of the other.
    """

    delay_s: float
    polarity: int
    shared: float

    @property
    def one_performance(self) -> bool | None:
        """None where it is neither clearly one nor clearly two."""
        if self.shared >= ONE:
            return True
        return False if self.shared < TWO else None


def relate(first: Samples, second: Samples, rates: tuple[float, float]) -> Relation:
    """Align at 12 kHz within ±2 s (±45 % of the shorter one), over the first 30 s, then compare.

    Raises ValueError for silence or less than 0.5 s of either.
    """
    a, b = (_thinned(x, rate) for x, rate in zip((first, second), rates, strict=True))
    shortest = min(len(a), len(b)) / _RATE
    if shortest < 0.5:
        raise ValueError("less than half a second cannot be aligned")
    rough = align(a, b, _RATE, min(_REACH_S, 0.45 * shortest))
    delay_s, polarity = rough.delay_s, rough.polarity
    finer = _near(a, b, delay_s)
    if finer is not None and finer.is_sure:
        delay_s, polarity = finer.delay_s, finer.polarity
    shared = _shared(*_side_by_side(a, b, round(delay_s * _RATE)))
    if shared < ONE:
        return Relation(0.0, 1, shared)
    return Relation(delay_s, polarity, shared)


def _near(a: NDArray[np.float64], b: NDArray[np.float64], delay_s: float) -> Delay | None:
    """The delay near a rough one, which a note that repeats may have put a period off."""
    try:
        return delay_between(a, b, _RATE, _PERIOD_S, near_s=delay_s)
    except ValueError:
        return None  # what both have in common is too short: the rough one has to do


def _thinned(samples: Samples, rate: float) -> NDArray[np.float64]:
    frames = as_frames(samples)[: round(check_rate(rate) * _LONGEST_S)]
    whole = round(rate)
    common = gcd(_RATE, whole)
    mono = frames.mean(axis=1)
    return np.asarray(
        scipy.signal.resample_poly(mono, _RATE // common, whole // common), dtype=np.float64
    )


def _side_by_side(
    a: NDArray[np.float64], b: NDArray[np.float64], lag: int
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    a, b = a[max(0, -lag) :], b[max(0, lag) :]
    length = min(len(a), len(b))
    return a[:length], b[:length]


def _shared(a: NDArray[np.float64], b: NDArray[np.float64]) -> float:
    """Magnitude-squared coherence over Welch segments, averaged with √(power · power).

    Less what as many segments of unrelated sounds have, so that short clips do not seem alike.
    """
    size = min(_SEGMENT, len(a) // 4)
    segments = (len(a) - size) // (size // 2) + 1
    with np.errstate(invalid="ignore", divide="ignore"):
        _, per_line = scipy.signal.coherence(a, b, _RATE, nperseg=size)
    per_line = unbiased(np.nan_to_num(per_line), averages_of(segments))
    weight = np.sqrt(
        scipy.signal.csd(a, a, nperseg=size)[1].real * scipy.signal.csd(b, b, nperseg=size)[1].real
    )
    total = float(weight.sum())
    return float(np.nansum(per_line * weight) / total) if total > 0 else 0.0
