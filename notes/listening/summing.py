"""What adding two captures does to their bands, as they are and when aligned first."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from notes.listening import bands
from notes.listening.samples import Samples, as_frames

METHOD = f"summing/1+{bands.METHOD}"
Real = NDArray[np.float64]


def aligning_adds(
    first: Samples,
    second: Samples,
    rate: float,
    delay_s: float,
    polarity: int,
    *,
    as_added: int = 1,
) -> Real:
    """By how many dB each 1/3-octave band of the sum rises when both are aligned first.

    Both count at equal power, where they interfere most. `polarity` is that of the captures,
    `as_added` −1 where one of them is turned over today. NaN where the sum has nothing. Raises
    ValueError for silence.
    """
    a, b = (as_frames(x).mean(axis=1) for x in (first, second))
    length = min(len(a), len(b))
    a, b = _level(a[:length]), _level(b[:length])
    now = bands.third_octaves(a + as_added * b, rate).levels
    together = bands.third_octaves(a + polarity * _earlier(b, delay_s, rate), rate).levels
    with np.errstate(invalid="ignore"):
        change = together - now
    change[~np.isfinite(change)] = np.nan
    return np.asarray(change)


def _level(sound: Real) -> Real:
    power = float((sound**2).mean())
    if power == 0:
        raise ValueError("one of the clips is silent")
    return np.asarray(sound / np.sqrt(power))


def _earlier(sound: Real, seconds: float, rate: float) -> Real:
    """`sound` moved earlier by `seconds`, also by a fraction of a sample.

    The phase of its spectrum is turned, with zeros added so that nothing wraps around.
    """
    size = len(sound) + 2 * (int(abs(seconds) * rate) + 1)
    turn = np.exp(2j * np.pi * np.fft.rfftfreq(size, 1 / rate) * seconds)
    return np.asarray(np.fft.irfft(np.fft.rfft(sound, size) * turn, size)[: len(sound)])
