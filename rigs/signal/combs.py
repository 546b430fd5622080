"""Two paths of one source added: where the comb's nulls and peaks fall, and how deep they are."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from rigs.signal._check import Array, Q, not_negative, plain, positive, within

LONGEST_SECONDS = 1.0


@dataclass(frozen=True)
class Ripple:
    """Levels in dB re the louder path alone; null_db is -inf and ripple_db inf for equal paths."""

    peak_db: float
    null_db: float
    ripple_db: float


def nulls(delay: float, highest: float = 20e3, inverted: bool = False) -> Array:
    """Frequencies in Hz of the nulls up to `highest`: (2k - 1) / (2 tau), or k / tau if inverted.

    Source: two equal phasors in opposition. Range: delay above 0 to 1 s (without a delay there is
    no comb), highest above 0 Hz. An inverted path also cancels towards 0 Hz, which is not listed.
    Raises ValueError outside it.
    """
    return _teeth(delay, highest, whole=inverted)


def peaks(delay: float, highest: float = 20e3, inverted: bool = False) -> Array:
    """Frequencies in Hz of the peaks up to `highest`: k / tau, or (2k - 1) / (2 tau) if inverted.

    Source, range and errors: as nulls (raises ValueError). The gain at 0 Hz is not listed.
    """
    return _teeth(delay, highest, whole=not inverted)


def _teeth(delay: float, highest: float, whole: bool) -> Array:
    tau = within("delay", positive("delay", delay), 0, LONGEST_SECONDS, "s")
    offset = 0.0 if whole else 0.5
    # A tooth exactly at the limit counts, though its product may come out a hair above it.
    count = math.floor(positive("highest", highest) * tau + offset + 1e-9)
    return np.asarray((np.arange(1, count + 1) - offset) / tau, dtype=float)


def lowest_edge(delay: float, inverted: bool = False) -> float:
    """Hz below which two equal paths a delay in s apart add, or take from each other if inverted.

    Where their sum is as loud as one of them alone: 1 / 3 tau, or 1 / 6 tau if inverted. Source:
    phasor sum, |1 + e^(-jwt)| = 2 |cos(wt / 2)| and |1 - e^(-jwt)| = 2 |sin(wt / 2)|. Range: delay
    above 0 to 1 s. Raises ValueError outside it.
    """
    tau = within("delay", positive("delay", delay), 0, LONGEST_SECONDS, "s")
    return 1 / ((6 if inverted else 3) * tau)


def ripple(level_difference: float) -> Ripple:
    """Peak, null and ripple of two paths apart in level by a number of dB, either sign.

    Formula: g = 10^(-|D|/20); 20 log10(1 + g), 20 log10(1 - g), their difference. Source: phasor
    sum. Range: -1000 to 1000 dB; equal at all frequencies. Raises ValueError outside it.
    """
    # Which of the two is louder does not matter to the shape, hence the magnitude.
    g = 10 ** (-abs(within("level_difference", level_difference, -1000, 1000, "dB")) / 20)
    peak = 20 * math.log10(1 + g)
    null = 20 * math.log10(1 - g) if g < 1 else -math.inf
    return Ripple(peak, null, peak - null)


def response_db(
    frequency: Q, delay: float, level_difference: float = 0.0, inverted: bool = False
) -> Q:
    """Level in dB re the louder path alone of two paths, at frequencies in Hz: |1 +- g e^(-jwt)|.

    Source: phasor sum. Range: frequency and delay 0 or more; as ripple for the levels. Exactly in
    a null of equal paths the level is -inf. Raises ValueError outside it.
    """
    g = 10 ** (-abs(within("level_difference", level_difference, -1000, 1000, "dB")) / 20)
    turn = 2 * np.pi * not_negative("frequency", frequency) * not_negative("delay", delay)
    sign = -1 if inverted else 1
    # Two equal paths cancel exactly in a null; minus infinity is the answer, not an error.
    with np.errstate(divide="ignore"):
        return plain(20 * np.log10(np.abs(1 + sign * g * np.exp(-1j * turn))))
