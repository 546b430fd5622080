"""How far apart in time two clips of one source are: delay, polarity, and how sure that is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy  # its parts load when they are first used
from numpy.typing import NDArray

from core.languages.marked import Said, gettext_noop
from notes.listening.samples import Samples, as_frames, check_rate


@dataclass(frozen=True, slots=True)
class Alignment:
    """`delay_s` is positive when the second capture is later. `polarity` is +1 or −1.

    `confidence` is 0 to 1: how far the best lag stands out from the best one elsewhere. A periodic
    sound matches itself a period later, so a steady tone has none.
    """

    delay_s: float
    polarity: int
    confidence: float


def align(first: Samples, second: Samples, rate: float, max_delay_s: float = 0.1) -> Alignment:
    """Cross-correlate the captures' channel means within ±`max_delay_s`.

    The peak is refined between samples by a parabola through its neighbours (an approximation, good
    to about 0.05 sample). Raises ValueError for silence or captures shorter than the search.
    """
    a, b = (as_frames(x).mean(axis=1) for x in (first, second))
    reach = round(max_delay_s * check_rate(rate))
    if min(len(a), len(b)) <= 2 * reach:
        raise ValueError(Said(gettext_noop("the clips are too short to search that far")))
    if not a.any() or not b.any():
        raise ValueError(Said(gettext_noop("one of the clips is silent")))
    full = scipy.signal.fftconvolve(b, a[::-1])
    middle = len(a) - 1
    around = full[middle - reach : middle + reach + 1]
    best = int(np.argmax(np.abs(around)))
    return Alignment(
        delay_s=float((best - reach + _between(around, best)) / rate),
        polarity=1 if around[best] > 0 else -1,
        # Half a millisecond to each side is the same peak.
        confidence=_confidence(np.abs(around), best, round(0.0005 * rate)),
    )


def _between(values: NDArray[np.float64], at: int) -> float:
    if not 0 < at < len(values) - 1:
        return 0.0
    left, peak, right = (abs(float(v)) for v in values[at - 1 : at + 2])
    bend = left - 2 * peak + right
    return 0.0 if bend == 0 else 0.5 * (left - right) / bend


def _confidence(values: NDArray[np.float64], best: int, near: int) -> float:
    elsewhere = np.concatenate([values[: max(0, best - near)], values[best + near + 1 :]])
    if len(elsewhere) == 0:
        return 0.0
    return float(1 - elsewhere.max() / values[best])
