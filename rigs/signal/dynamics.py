"""Static curves: a compressor, and a compressed path blended with the dry one."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rigs.signal._check import Q, decibels, not_negative, plain, refuse, within


@dataclass(frozen=True)
class Compressor:
    """Threshold in dB, ratio (1 or more), knee width in dB (0 is hard), make-up gain in dB."""

    threshold: float
    ratio: float
    knee: float = 0.0
    makeup: float = 0.0

    def __post_init__(self) -> None:
        for name in ("threshold", "makeup"):
            decibels(name, getattr(self, name))
        if not_negative("ratio", self.ratio) < 1:
            refuse("ratio", self.ratio, "1 or more")
        within("knee", self.knee, 0, 1000, "dB")


def compressed_db(level: Q, compressor: Compressor) -> Q:
    """Output level in dB of a compressor at an input level, once it has settled.

    Formula: T + (x - T) / R above the threshold; inside the knee W,
    x + (1/R - 1)(x - T + W/2)^2 / (2 W). Source: Giannoulis, Massberg and Reiss, JAES 60 (2012),
    from memory. Range: -1000 to 1000 dB; attack and release are not covered. Raises ValueError.
    """
    over = decibels("level", level) - compressor.threshold
    slope = 1 / compressor.ratio - 1
    half = compressor.knee / 2
    inside = np.clip(over + half, 0, compressor.knee)
    # The knee's parabola up to its end, then the straight line that continues it.
    bent = inside**2 / (2 * compressor.knee) if compressor.knee else 0.0
    gain = slope * (bent + np.maximum(over - half, 0))
    return plain(decibels("level", level) + gain + compressor.makeup)


def reduction_db(level: Q, compressor: Compressor) -> Q:
    """Gain reduction in dB (0 or more) at an input level, make-up not counted.

    Source, range and errors: as compressed_db (raises ValueError).
    """
    return plain(decibels("level", level) + compressor.makeup - compressed_db(level, compressor))


def blend_db(dry: Q, wet: Q, coherent: bool = True) -> Q:
    """Level in dB of two paths added: coherent 20 log10(10^(a/20) + 10^(b/20)), else by power.

    Source: sum of amplitudes in phase, or of powers. Range: -1000 to 1000 dB. A wet path that
    comes late combs instead: see combs. Raises ValueError outside it.
    """
    unit = 20 if coherent else 10
    a, b = decibels("dry", dry) / unit, decibels("wet", wet) / unit
    return plain(unit * np.log10(10.0**a + 10.0**b))


def parallel_db(level: Q, compressor: Compressor, wet_gain: float, coherent: bool = True) -> Q:
    """Output in dB of the dry path plus the compressed path at `wet_gain` dB, at an input level.

    Source, range and errors: blend_db of the level and compressed_db (raises ValueError).
    """
    wet = compressed_db(level, compressor) + decibels("wet_gain", wet_gain)
    return blend_db(level, plain(wet), coherent)
