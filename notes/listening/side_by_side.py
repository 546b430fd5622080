"""What can be said of two clips side by side, band by band; notes.listening.caveats: what cannot.

A band level read from T seconds through B hertz is itself uncertain: for noise its standard error
is about 4.34/√(BT) dB (1/√(BT) of the power; random-data handbooks, from memory). T is the whole
clip, because notes.listening.bands counts every sample alike. A difference of two has √2 times that
error, and one is read only from twice that on, and from 1 dB.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from notes.listening.bands import Bands, a_weighting, edges, midbands
from notes.listening.compare import in_words
from notes.listening.pauses import near_noise

LEAST_DB = 1.0
_HEARD_DB, _UNHEARD_DB = 30.0, 60.0
_FEWEST = 10.0  # bandwidth × time below which no level is read at all
_PER_ROOT_BT = 10 / np.log(10)


@dataclass(frozen=True, slots=True)
class MeasuredClip:
    """What comparing needs of the section of a clip that is played.

    `gain_db` is what it is played with; `pause` None: none; `offset` is DC that counts, full
    scale 1.
    """

    letter: str
    seconds: float
    rate_hz: float
    channels: int
    gain_db: float
    bands: Bands
    pause: Bands | None
    clipped: int = 0
    offset: float = 0.0


@dataclass(frozen=True, slots=True)
class BandDifferences:
    """`change` is the second minus the first as played, dB per band; NaN where one has nothing.

    `least` is the smallest difference that counts in each band, inf where none does.
    """

    change: NDArray[np.float64]
    least: NDArray[np.float64]
    words: list[str]

    @property
    def counted(self) -> NDArray[np.float64]:
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


def standard_error(seconds: float) -> NDArray[np.float64]:
    """Standard error in dB of each 1/3-octave level of noise averaged for so long."""
    low, high = edges()
    return np.asarray(_PER_ROOT_BT / np.sqrt((high - low) * seconds))


def read(a: MeasuredClip, b: MeasuredClip) -> BandDifferences:
    """Compare `b` with `a`, both as played."""
    with np.errstate(invalid="ignore"):
        change = (b.bands.levels + b.gain_db) - (a.bands.levels + a.gain_db)
    change[~np.isfinite(change)] = np.nan
    least = least_by_time(a, b)
    least[noisy(a, b) | np.isnan(change)] = np.inf
    reading = BandDifferences(change, least, [])
    return BandDifferences(
        change, least, in_words(reading.counted, LEAST_DB, weights=audible(a, b))
    )


def audible(a: MeasuredClip, b: MeasuredClip) -> NDArray[np.float64]:
    """How much each band takes part in what is heard, 0 to 1, in the louder of the two.

    1 down to 30 dB below the band that is strongest by A-weighting, 0 from 60 dB below it on: a
    convention of this module.
    """
    levels = np.maximum(a.bands.levels + a.gain_db, b.bands.levels + b.gain_db)
    levels = levels + a_weighting(midbands())
    return np.asarray(
        np.clip((levels - levels.max() + _UNHEARD_DB) / (_UNHEARD_DB - _HEARD_DB), 0, 1)
    )


def least_by_time(a: MeasuredClip, b: MeasuredClip) -> NDArray[np.float64]:
    """The smallest difference that is more than chance in each band; inf where nothing is."""
    low, high = edges()
    averaged_s = min(a.seconds, b.seconds)
    least = np.maximum(LEAST_DB, 2 * np.sqrt(2) * standard_error(averaged_s))
    least[(high - low) * averaged_s < _FEWEST] = np.inf
    return np.asarray(least, dtype=np.float64)


def noisy(a: MeasuredClip, b: MeasuredClip) -> NDArray[np.bool_]:
    """Bands of either clip that hardly rise above its pause."""
    mask = np.zeros(len(a.bands.levels), dtype=bool)
    for clip in (a, b):
        if clip.pause is not None:
            mask |= near_noise(clip.bands, clip.pause)
    return mask
