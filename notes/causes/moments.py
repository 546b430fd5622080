"""How the bands of a sound move together from moment to moment, and moments matched. Pure.

Which notes fall into a take decides its lows and its harmonics, and both together. Three takes are
too few to see that; their moments are many. And where a note of tonight was played in the signed
takes, too, those two moments differ by what was changed, and not by what was played.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

_MOMENT_S = 0.25
# Moments so near are not independent of each other (Bartlett's weights, as Newey and West have
# them for the variance of a mean, Econometrica 55, 703, 1987; from memory).
_LAGS = 4
_DB_PER_SHARE = 10 / np.log(10)
# Of one sound so many are kept, evenly picked: of 30 s all of them.
MOST_MOMENTS = 240
_NO_POWER = 1e-14
# Moments that differ by so much, the root mean square over bands, are taken for the same note e
# times less. This and the next two are set on the half of the recordings that limits are set on.
_ALIKE_DB = 2.0
# What lies further below a band's loudest moment is not what is played there.
_PLAYED_DB = 40.0
# Loud moments count more, though not by all of their power.
_BY_POWER = 0.3
_ROUNDS, _SETTLED_DB = 15, 0.01

Real = NDArray[np.float64]


def moves(power: Real) -> Real:
    """Covariance, dB², shape (bands, bands), of the levels of bands over the whole of a sound, as
    far as its moments tell it. Zeros where it is shorter than two moments."""
    count, bands = power.shape
    if count < 2:  # noqa: PLR2004 - one moment does not move
        return np.zeros((bands, bands))
    mean = power.mean(axis=0)
    # The level of a mean moves by so much for each share that a moment lies above it.
    apart = _DB_PER_SHARE * (power / np.where(mean > 0, mean, 1) - (mean > 0))
    whole = apart.T @ apart
    for lag in range(1, min(_LAGS, count - 1) + 1):
        later = apart[lag:].T @ apart[:-lag]
        whole += (1 - lag / (_LAGS + 1)) * (later + later.T)
    return np.asarray(whole / count**2)


def alike(covariance: Real) -> Real:
    """Correlation, −1 to 1; of what does not move with nothing but itself."""
    spread = np.sqrt(np.diag(covariance))
    product = np.outer(spread, spread)
    out = np.where(product > 0, covariance / np.where(product > 0, product, 1), 0.0)
    np.fill_diagonal(out, 1.0)
    return np.asarray(out)


def decibels(power: Real) -> Real:
    """Levels of moments as they are kept, to a tenth."""
    return np.asarray((10 * np.log10(power + _NO_POWER)).round(1))


def some(levels: Real) -> Real:
    """As many moments as are kept, evenly picked."""
    if len(levels) <= MOST_MOMENTS:
        return levels
    return np.asarray(levels[np.linspace(0, len(levels) - 1, MOST_MOMENTS).round().astype(int)])


def matched(signed: Real, tonight: Real, begin: Real) -> Real:
    """By how many dB each band of `tonight` lies above like moments of `signed`; all levels of
    moments, dB, shape (moments, bands). `begin` is a first guess.

    Each moment of tonight is set against those of the signed sound that are most like it, less what
    is taken to have changed; then what has changed is read anew (expectation and maximisation,
    Dempster, Laird and Rubin, J. Royal Stat. Soc. B 39, 1, 1977; from memory).
    """
    one, other = (np.maximum(x, x.max(axis=0) - _PLAYED_DB) for x in (signed, tonight))
    before, counts = (_weights(x) for x in (one, other))
    squares = (one**2).sum(axis=1)
    change = np.asarray(begin, dtype=float)
    for _ in range(_ROUNDS):
        now = other - change
        apart = ((now**2).sum(axis=1)[:, None] + squares - 2 * now @ one.T) / one.shape[1]
        logs = np.log(before) - apart / _ALIKE_DB**2
        same = np.exp(logs - logs.max(axis=1, keepdims=True))
        same *= (counts / same.sum(axis=1))[:, None]
        step = counts @ now - same.sum(axis=0) @ one
        change = change + step
        if np.abs(step).max() < _SETTLED_DB:
            break
    return change


def _weights(levels: Real) -> Real:
    loud = 10 ** (_BY_POWER * (levels.max(axis=1) - levels.max()) / 10)
    return np.asarray(loud / loud.sum())


def powers(mono: Real, rate: float, low_hz: Real, high_hz: Real) -> Real:
    """Of each moment, half over the next, and each band; shape (moments, bands)."""
    size = round(_MOMENT_S * rate)
    padded = 1 << (size - 1).bit_length()
    hertz = np.fft.rfftfreq(padded, 1 / rate)
    first, last = np.searchsorted(hertz, low_hz), np.searchsorted(hertz, high_hz)
    window = np.hanning(size)
    out = []
    for start in range(0, len(mono) - size + 1, size // 2):
        power = np.abs(np.fft.rfft(mono[start : start + size] * window, padded)) ** 2
        sums = np.concatenate([[0.0], np.cumsum(power)])
        out.append(sums[last] - sums[first])
    return np.array(out).reshape(-1, len(low_hz))
