"""How the bands of a sound move together from moment to moment. Pure.

Which notes fall into a take decides its lows and its harmonics, and both together. Three takes are
too few to see that; their moments are many.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

_MOMENT_S = 0.25
# Moments so near are not independent of each other (Bartlett's weights, as Newey and West have
# them for the variance of a mean, Econometrica 55, 703, 1987; from memory).
_LAGS = 4
_DB_PER_SHARE = 10 / np.log(10)

Real = NDArray[np.float64]


def moves(mono: Real, rate: float, low_hz: Real, high_hz: Real) -> Real:
    """Covariance, dB², shape (bands, bands), of the levels of bands over the whole of a sound, as
    far as its moments tell it. Zeros where it is shorter than two moments."""
    power = _powers(mono, rate, low_hz, high_hz)
    count = len(power)
    if count < 2:  # noqa: PLR2004 - one moment does not move
        return np.zeros((len(low_hz),) * 2)
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


def _powers(mono: Real, rate: float, low_hz: Real, high_hz: Real) -> Real:
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
    return np.array(out)
