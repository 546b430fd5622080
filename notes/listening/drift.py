"""By how much the clocks of two recordings of one sound run apart, and taking that out.

Two recorders of one nominal rate differ by some parts in a million. Over ten seconds 50 ppm come to
half a millisecond, and what is averaged over them no longer agrees. Each segment's cross spectrum
is turned by what a drift would have made of it by then; the drift at which the segments agree best
is the one.
"""

from __future__ import annotations

import numpy as np
import scipy  # its parts load when they are first used
from numpy.typing import NDArray

METHOD = "drift/1"
MOST_PPM = 220.0  # crystals of sound cards are said to keep within 100: common practice, no source
# By how much the mean coherence has to rise before a drift is believed: docs/measurements.md, set
# on the half of the recordings that limits are set on.
BELIEVED = 0.02
_SEGMENT_S = 0.17
_LOWEST_HZ, _COARSE_HZ, _HIGHEST_HZ = 60.0, 1_200.0, 5_000.0
_FLOOR_DB = -60.0
_STEP = 0.25  # of a period, at the highest line, between the ends: nearer drifts read alike

Real = NDArray[np.float64]
Complex = NDArray[np.complex128]


def drift_ppm(first: Real, second: Real, rate: float) -> float:
    """Parts in a million by which `second` grows later; 0 where none makes the two agree better.

    Both mono, of one length, and roughly in step (within a third of 0.17 s).
    """
    cross, powers, lines, times = _segments(first, second, rate)
    if len(times) < 4 or not len(lines):  # noqa: PLR2004 - from fewer nothing can be told
        return 0.0
    seconds = float(times[-1] - times[0])
    coarse = lines <= _COARSE_HZ
    if not coarse.any():
        coarse = np.ones_like(coarse)
    step = _step(float(lines[coarse].max()), seconds)
    grid = _grid(0.0, MOST_PPM, step)
    heights = _agreement(cross[:, coarse], powers[coarse], lines[coarse], times, grid)
    near = float(grid[int(np.argmax(heights))])
    fine = _grid(near, 1.5 * step, _step(float(lines.max()), seconds) / 2)
    heights = _agreement(cross, powers, lines, times, fine)
    best = int(np.argmax(heights))
    none = float(_agreement(cross, powers, lines, times, np.zeros(1))[0])
    return float(fine[best]) if heights[best] > none + BELIEVED else 0.0


def undrifted(sound: Real, ppm: float) -> Real:
    """`sound` as a clock `ppm` slower would have it, its middle left where it is."""
    if ppm == 0:
        return sound
    at = np.arange(len(sound), dtype=np.float64)
    middle = len(sound) / 2
    # A cubic spline: what it loses lies above the 12 kHz up to which a delay is read at 48 kHz.
    return np.asarray(
        scipy.ndimage.map_coordinates(
            sound, [at + (at - middle) * ppm * 1e-6], order=3, mode="constant"
        )
    )


def _segments(first: Real, second: Real, rate: float) -> tuple[Complex, Real, Real, Real]:
    """Cross spectra (segments, lines), product of both powers, frequencies, middles in seconds."""
    size = 1 << round(np.log2(_SEGMENT_S * rate))
    every = scipy.signal.ShortTimeFFT(
        np.hanning(size), size // 2, rate, fft_mode="onesided", phase_shift=None
    )
    one, other = (every.stft(x, p0=1, p1=max(2, len(x) // (size // 2))) for x in (first, second))
    powers = np.stack([(np.abs(x) ** 2).sum(axis=1) for x in (one, other)])
    heard = (powers > powers.max(axis=1, keepdims=True) * 10 ** (_FLOOR_DB / 10)).all(axis=0)
    heard &= (every.f >= _LOWEST_HZ) & (every.f <= min(_HIGHEST_HZ, 0.45 * rate))
    cross = (other * one.conj()).T[:, heard]
    times = np.arange(len(cross)) * (size // 2) / rate
    return cross, powers.prod(axis=0)[heard], every.f[heard], times


def _step(highest_hz: float, seconds: float) -> float:
    return 1e6 * _STEP / (highest_hz * max(seconds, 1e-3))


def _grid(middle: float, reach: float, step: float) -> Real:
    sides = int(np.ceil(reach / step))
    return np.clip(middle + step * np.arange(-sides, sides + 1), -MOST_PPM, MOST_PPM)


def _agreement(cross: Complex, powers: Real, lines: Real, times: Real, ppm: Real) -> Real:
    """Mean coherence of all lines at each drift."""
    out = np.empty(len(ppm))
    for at, drift in enumerate(ppm):
        turned = cross * np.exp(2j * np.pi * drift * 1e-6 * np.outer(times, lines))
        out[at] = float((np.abs(turned.sum(axis=0)) ** 2 / powers).mean())
    return out
