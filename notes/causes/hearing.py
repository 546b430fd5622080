"""What is read of a sound to tell causes by: bands, and how its loudness moves. Pure."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy  # its parts load when they are first used
from numpy.typing import NDArray

from core.languages.marked import Said, gettext_noop
from notes.causes.moments import decibels, moves, powers, some
from notes.listening.bands import edges, midbands, third_octaves
from notes.listening.pauses import near_noise, pause
from notes.listening.samples import Samples, as_frames
from notes.listening.side_by_side import standard_error

METHOD = "hearing/5"
# Bands that are used: lower ones hold too few cycles of a few seconds, higher ones often nothing.
LOWEST_HZ, HIGHEST_HZ = 50.0, 12_500.0
_BLOCK_S = 0.05
_UNHEARD_DB = 52.0  # below the loudest band: room and hiss, more than the source
_HIGHS_HZ = 2_000.0
_FALL_BLOCKS = 4
# A window parts partials 3 Hz apart; higher partials of a stiff string are sharp by themselves.
_TUNING_WINDOW_S, _PARTIAL_DB, _FEWEST_PARTIALS = 0.7, 35.0, 12
# So far they have to agree on one tuning: distortion and drums put partials anywhere. Set on the
# half of the recordings that limits are set on (docs/measurements.md).
_AGREE = 0.12
_LOWEST_PARTIAL_HZ, _HIGHEST_PARTIAL_HZ = 80.0, 1500.0

Real = NDArray[np.float64]
# After the bands come these, in this order, each in dB but the last.
EXTRAS = (
    "crest factor",
    "loud above usual",
    "fall of the highs",
    "crest of a moment",
    "tuning, cents",
)
TUNING = EXTRAS.index("tuning, cents")
_SEMITONE_CENTS = 100.0


@dataclass(frozen=True, slots=True)
class Heard:
    """`levels`: dBFS of the used bands; `errors`: their standard errors, inf where nothing is
    heard; `extras` as in EXTRAS, NaN where one cannot be read; `seconds` long. Tuning is read
    against the nearest semitone, −50 to 50 cents. `moves`: how levels of the bands move together
    by what is played, dB², shape (bands, bands); `moments`: levels of a quarter of a second each,
    dB, shape (moments, bands)."""

    levels: Real
    errors: Real
    extras: Real
    seconds: float
    moves: Real
    moments: Real


def hertz() -> Real:
    """The midbands that are used."""
    return midbands()[_used()]


def hear(samples: Samples, rate: float) -> Heard:
    """Raises ValueError for silence and for what is shorter than 0.5 s."""
    frames = as_frames(samples)
    seconds = len(frames) / rate
    if seconds < 0.5:  # noqa: PLR2004
        raise ValueError(Said(gettext_noop("less than half a second says nothing of a sound")))
    if not frames.any():
        raise ValueError(Said(gettext_noop("one of the clips is silent")))
    bands, quiet = third_octaves(frames, rate), pause(frames, rate)
    used = _used()
    levels = bands.levels[used]
    errors = standard_error(seconds)[used]
    unheard = ~np.isfinite(levels) | (levels < levels.max() - _UNHEARD_DB)
    if quiet is not None:
        unheard |= near_noise(bands, quiet)[used]
    low, high = edges()
    power = powers(frames.mean(axis=1), rate, low[used], high[used])
    return Heard(
        levels,
        np.where(unheard, np.inf, errors),
        _extras(frames, rate),
        seconds,
        moves(power),
        some(decibels(power)),
    )


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
    fall = _fall_of_highs(mono, rate, size)
    return np.array([crest, loud, fall, _crest_of_moments(blocks, power), _tuning(mono, rate)])


def _crest_of_moments(blocks: Real, power: Real) -> float:
    """How far peaks stand out within a twentieth of a second, where it is loud: what cuts peaks
    off lowers it, and a compressor, which is slower, does not."""
    loud = power >= np.quantile(power[power > power.max() * 1e-4], 0.6)
    tops = np.quantile(np.abs(blocks[loud]), 0.99, axis=1)
    return float(np.median(20 * np.log10(tops / np.sqrt(power[loud]))))


def semitone_wrapped(cents: Real) -> Real:
    """A difference of tunings, to the nearer side: a semitone apart reads as none."""
    half = _SEMITONE_CENTS / 2
    return np.asarray((cents + half) % _SEMITONE_CENTS - half)


def _tuning(mono: Real, rate: float) -> float:
    """By how many cents partials lie above the nearest semitone from A = 440 Hz, −50 to 50; NaN
    where they do not agree on one, as strokes of drums do not."""
    size = 1 << round(np.log2(_TUNING_WINDOW_S * rate))
    if len(mono) < size:
        return float("nan")
    hertz, _, power = scipy.signal.spectrogram(
        mono, rate, "hann", size, size // 2, detrend=False, scaling="spectrum"
    )
    db = 10 * np.log10(power + 1e-20)
    left, middle, right = db[:-2], db[1:-1], db[2:]
    tops = (middle > left) & (middle >= right) & (middle > db.max(axis=0) - _PARTIAL_DB)
    tops &= ((hertz[1:-1] > _LOWEST_PARTIAL_HZ) & (hertz[1:-1] < _HIGHEST_PARTIAL_HZ))[:, None]
    if tops.sum() < _FEWEST_PARTIALS:
        return float("nan")
    bend = (left - 2 * middle + right)[tops]
    # A Hann window's peak is close to a parabola in dB.
    between = 0.5 * (left - right)[tops] / np.where(bend == 0, 1, bend)
    at = hertz[1:-1][np.nonzero(tops)[0]] + between * hertz[1]
    turn = 2j * np.pi * 12 * np.log2(at / 440)
    weight = 10 ** (middle[tops] / 20)
    mean = (weight * np.exp(turn)).sum() / weight.sum()
    if abs(mean) < _AGREE:
        return float("nan")
    return float(np.angle(mean) * _SEMITONE_CENTS / (2 * np.pi))


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
