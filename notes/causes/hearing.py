"""What is read of a sound to tell causes by: bands, and how its loudness moves. Pure."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy  # its parts load when they are first used
from numpy.typing import NDArray

from notes.listening.bands import midbands, third_octaves
from notes.listening.pauses import near_noise, pause
from notes.listening.samples import Samples, as_frames
from notes.listening.side_by_side import standard_error

METHOD = "hearing/1"
# Bands that are used: lower ones hold too few cycles of a few seconds, higher ones often nothing.
LOWEST_HZ, HIGHEST_HZ = 50.0, 12_500.0
_BLOCK_S = 0.05
_UNHEARD_DB = 45.0  # below the loudest band: room and hiss, more than the source
_HIGHS_HZ = 2_000.0
_FALL_BLOCKS = 4

Real = NDArray[np.float64]
# After the bands come these, in this order, each in dB.
EXTRAS = ("crest factor", "loud above usual", "fall of the highs")


@dataclass(frozen=True, slots=True)
class Heard:
    """`levels`: dBFS of the used bands; `errors`: their standard errors, inf where nothing is
    heard; `extras` as in EXTRAS, NaN where one cannot be read; `seconds` long."""

    levels: Real
    errors: Real
    extras: Real
    seconds: float


def hertz() -> Real:
    """The midbands that are used."""
    return midbands()[_used()]


def hear(samples: Samples, rate: float) -> Heard:
    """Raises ValueError for silence and for what is shorter than 0.5 s."""
    frames = as_frames(samples)
    seconds = len(frames) / rate
    if seconds < 0.5:  # noqa: PLR2004
        raise ValueError("less than half a second says nothing of a sound")
    if not frames.any():
        raise ValueError("one of the clips is silent")
    bands, quiet = third_octaves(frames, rate), pause(frames, rate)
    used = _used()
    levels = bands.levels[used]
    errors = standard_error(seconds)[used]
    unheard = ~np.isfinite(levels) | (levels < levels.max() - _UNHEARD_DB)
    if quiet is not None:
        unheard |= near_noise(bands, quiet)[used]
    return Heard(levels, np.where(unheard, np.inf, errors), _extras(frames, rate), seconds)


def _used() -> NDArray[np.bool_]:
    middles = midbands()
    return (middles > LOWEST_HZ * 0.95) & (middles < HIGHEST_HZ * 1.05)


def _extras(frames: Samples, rate: float) -> Real:
    mono = frames.mean(axis=1)
    size = round(_BLOCK_S * rate)
    blocks = mono[: len(mono) // size * size].reshape(-1, size)
    power = (blocks**2).mean(axis=1)
    sounding = power > power.max() * 1e-4
    if sounding.sum() < 8:  # noqa: PLR2004
        return np.full(len(EXTRAS), np.nan)
    db = 10 * np.log10(power[sounding])
    # The loudest thousandth and not the very peak, which one sample decides.
    crest = 20 * np.log10(np.quantile(np.abs(mono), 0.999) / np.sqrt(power[sounding].mean()))
    loud = np.quantile(db, 0.9) - np.quantile(db, 0.4)
    return np.array([crest, loud, _fall_of_highs(mono, rate, size)])


def _fall_of_highs(mono: Real, rate: float, size: int) -> float:
    """By how many dB more the highs fall in the fifth of a second after an onset than the rest."""
    if rate < 4 * _HIGHS_HZ:
        return float("nan")
    high = scipy.signal.sosfilt(
        scipy.signal.butter(2, _HIGHS_HZ, "high", fs=rate, output="sos"), mono
    )
    per_block = [
        10 * np.log10((x[: len(x) // size * size].reshape(-1, size) ** 2).mean(axis=1) + 1e-12)
        for x in (high, mono)
    ]
    rises = np.flatnonzero(np.diff(per_block[1]) > 4) + 1  # noqa: PLR2004
    rises = rises[rises + _FALL_BLOCKS < len(per_block[1])]
    if len(rises) < 3:  # noqa: PLR2004
        return float("nan")
    fell = [x[rises] - x[rises + _FALL_BLOCKS] for x in per_block]
    return float(np.median(fell[0] - fell[1]))
