"""Programme loudness after ITU-R BS.1770 (K-weighting, gating) and EBU Tech 3341 and 3342.

Levels in LUFS, ranges in LU. Channel order L, R, C, LFE, Ls, Rs for six channels; five channels
are L, R, C, Ls, Rs; any other number counts every channel alike.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy  # its parts load when they are first used
from numpy.typing import NDArray

from notes.listening.samples import Samples, as_frames, check_rate

METHOD = "BS.1770/2"  # stored beside results; raise it when a result would come out different
ABSOLUTE_GATE = -70.0
# dB; cancels the gain of the K-weighting at 997 Hz, so that such a sine of 0 dBFS reads −3.01 LUFS
# (BS.1770).
_OFFSET = -0.691
STEP_S = 0.1
# How finely the windows of the loudest moment and stretch are moved. Gating takes steps of a tenth
# of a second, as the standard has it; a maximum that does may miss 0.6 dB of a sound of 0.4 s.
_FINE_S = 0.001
MOMENTARY_S, SHORT_TERM_S = 0.4, 3.0

# Analogue prototypes behind the 48 kHz coefficients of BS.1770, Annex 1, tables 1 and 2, so that
# other rates get the same curve: centre Hz, gain dB, Q of the shelf; corner Hz, Q of the high-pass.
# Solved from the published coefficients; widely republished, printed standard not opened.
_SHELF = (1681.974450955533, 3.999843853973347, 0.7071752369554196)
_HIGH_PASS = (38.13547087602444, 0.5003270373238773)


@dataclass(frozen=True, slots=True)
class Loudness:
    """Integrated, loudest momentary (0.4 s) and short-term (3 s) loudness, and the range.

    −inf where nothing passes the gate; `range_lu` is 0 where there is less than 3 s of programme.
    """

    integrated: float
    momentary_max: float
    short_term_max: float
    range_lu: float


def k_weighting(rate: float) -> NDArray[np.float64]:
    """Second-order sections, shape (2, 6), of the K-weighting at `rate` Hz."""
    shelf_hz, gain_db, shelf_q = _SHELF
    k = np.tan(np.pi * shelf_hz / rate)
    high = 10 ** (gain_db / 20)
    band = high**0.4996667741545416
    a0 = 1 + k / shelf_q + k * k
    shelf = [
        (high + band * k / shelf_q + k * k) / a0,
        2 * (k * k - high) / a0,
        (high - band * k / shelf_q + k * k) / a0,
        1.0,
        2 * (k * k - 1) / a0,
        (1 - k / shelf_q + k * k) / a0,
    ]
    corner_hz, q = _HIGH_PASS
    k, a0 = _high_pass_terms(corner_hz, q, rate)
    # The published numerator is 1, −2, 1 at 48 kHz; other rates keep that pass-band gain.
    top = _high_pass_terms(corner_hz, q, 48_000)[1] / a0
    high_pass = [top, -2 * top, top, 1.0, 2 * (k * k - 1) / a0, (1 - k / q + k * k) / a0]
    return np.array([shelf, high_pass])


def _high_pass_terms(corner_hz: float, q: float, rate: float) -> tuple[float, float]:
    k = float(np.tan(np.pi * corner_hz / rate))
    return k, 1 + k / q + k * k


def weights(channels: int) -> NDArray[np.float64]:
    """How much each channel counts, shape (channels,)."""
    # BS.1770, table 3: surrounds count 1.41 (about +1.5 dB); the LFE channel does not count.
    surround = {5: [1, 1, 1, 1.41, 1.41], 6: [1, 1, 1, 0, 1.41, 1.41]}
    return np.array(surround.get(channels, [1.0] * channels), dtype=np.float64)


def weighted_squares(samples: Samples, rate: float) -> NDArray[np.float64]:
    """Squares after the K-weighting, the channels added by their weights, shape (frames,)."""
    frames = as_frames(samples)
    weighted = scipy.signal.sosfilt(k_weighting(check_rate(rate)), frames, axis=0)
    return np.asarray(weighted**2 @ weights(frames.shape[1]), dtype=np.float64)


def step_powers(samples: Samples, rate: float) -> NDArray[np.float64]:
    """Weighted mean-square power of each whole 100 ms step, shape (steps,)."""
    return means(weighted_squares(samples, rate), round(rate * STEP_S))


def means(values: NDArray[np.float64], size: int) -> NDArray[np.float64]:
    """The mean of each whole stretch of `size` values; what is left over at the end is left out."""
    whole = len(values) // size
    return np.asarray(values[: whole * size].reshape(whole, size).mean(axis=1))


class Loudest:
    """The largest mean power of a window as it slides over a sound, which comes in pieces.

    It moves by about a millisecond: of a sound as long as a window of 0.4 s, that may miss half a
    millisecond, 0.005 dB.
    """

    def __init__(self, rate: float, window_s: float) -> None:
        self._size = max(1, round(rate * _FINE_S))
        self._length = max(1, round(rate * window_s / self._size))
        self._waiting = np.empty(0)  # squares of a millisecond that is not yet whole
        self._before = np.empty(0)  # the milliseconds that the next window reaches back to
        self._power = -np.inf

    def add(self, squares: NDArray[np.float64]) -> None:
        """Weighted squares, in the order of time."""
        joined = np.concatenate([self._waiting, squares])
        fine = means(joined, self._size)
        self._waiting = joined[len(fine) * self._size :]
        fine = np.concatenate([self._before, fine])
        windows = _windows(fine, self._length)
        self._power = max(self._power, float(windows.max(initial=-np.inf)))
        self._before = fine[max(0, len(fine) - self._length + 1) :]

    def level(self) -> float:
        """The level of the loudest window, LUFS; −inf for silence, and where no whole window
        came."""
        return float(_level(np.array([max(self._power, 0.0)]))[0])


def _windows(powers: NDArray[np.float64], steps: int) -> NDArray[np.float64]:
    if len(powers) < steps:
        return np.empty(0)
    # Differences of one running sum; rounding may leave them below zero by a hair, hence the
    # maximum.
    total = np.concatenate([[0.0], np.cumsum(powers)])
    return np.asarray(np.maximum(total[steps:] - total[:-steps], 0.0) / steps)


def _level(power: NDArray[np.float64]) -> NDArray[np.float64]:
    with np.errstate(divide="ignore"):
        return np.asarray(_OFFSET + 10 * np.log10(power))


def momentary(samples: Samples, rate: float) -> NDArray[np.float64]:
    """Loudness of each 400 ms window, one every 100 ms."""
    return _level(_windows(step_powers(samples, rate), 4))


def short_term(samples: Samples, rate: float) -> NDArray[np.float64]:
    """Loudness of each 3 s window, one every 100 ms."""
    return _level(_windows(step_powers(samples, rate), 30))


def measure(samples: Samples, rate: float) -> Loudness:
    """Everything at once, filtering once. Raises ValueError for samples shorter than 400 ms."""
    squares = weighted_squares(samples, rate)
    moment, stretch = Loudest(rate, MOMENTARY_S), Loudest(rate, SHORT_TERM_S)
    moment.add(squares)
    stretch.add(squares)
    return from_powers(means(squares, round(rate * STEP_S)), moment, stretch)


def from_powers(powers: NDArray[np.float64], moment: Loudest, stretch: Loudest) -> Loudness:
    """Like `measure`, from the powers of 100 ms steps, shape (steps,), and the sliding windows.

    Raises ValueError for fewer than four steps.
    """
    blocks, seconds = _windows(powers, 4), _windows(powers, 30)
    if len(blocks) == 0:
        raise ValueError("loudness needs at least 0.4 s of sound")
    return Loudness(
        integrated=_gated(blocks),
        momentary_max=moment.level(),
        short_term_max=stretch.level(),
        range_lu=_range(seconds),
    )


def _gated(blocks: NDArray[np.float64]) -> float:
    """BS.1770 gating: above −70 LUFS, then above 10 LU below the mean of those."""
    loud = blocks[_level(blocks) > ABSOLUTE_GATE]
    if len(loud) == 0:
        return float("-inf")
    # The mean is of powers, not of levels: the relative gate is 10 LU below that.
    gate = _level(np.array([loud.mean()]))[0] - 10
    return float(_level(np.array([loud[_level(loud) > gate].mean()]))[0])


def _range(seconds: NDArray[np.float64]) -> float:
    """EBU Tech 3342: 10th to 95th percentile above −70 LUFS and 20 LU below their mean."""
    loud = seconds[_level(seconds) > ABSOLUTE_GATE]
    if len(loud) == 0:
        return 0.0
    gate = _level(np.array([loud.mean()]))[0] - 20
    levels = _level(loud[_level(loud) > gate])
    low, high = np.percentile(levels, [10, 95])
    return float(high - low)
