"""Loudness, peaks and spectrum block by block, so that memory does not grow with the length.

`add` takes frames of shape (frames, channels); however a sound is cut into blocks, the result is
the same. The functions of the neighbouring modules, on whole arrays, are the reference.
"""

from __future__ import annotations

import numpy as np
import scipy  # its parts load when they are first used
from numpy.typing import NDArray

from notes.listening.bands import OVERLAP, window_length
from notes.listening.loudness import (
    MOMENTARY_S,
    SHORT_TERM_S,
    STEP_S,
    Loudest,
    Loudness,
    from_powers,
    k_weighting,
    means,
    weights,
)
from notes.listening.peaks import CLIPPED_AT, ClippedRuns, farthest
from notes.listening.samples import Samples, check_rate, decibels

_PIECE_S = 0.5  # filtered at once: what fits the processor's cache


class LoudnessMeter:
    """Programme loudness (notes.listening.loudness)."""

    def __init__(self, rate: float, channels: int) -> None:
        self._sections = k_weighting(check_rate(rate))
        self._weights = weights(channels)
        self._state = np.zeros((len(self._sections), channels, 2))
        self._step = round(rate * STEP_S)
        self._piece = round(rate * _PIECE_S)
        self._powers: list[NDArray[np.float64]] = []
        self._waiting = np.empty(0)  # squares of the step that is not yet whole
        self._moment, self._stretch = Loudest(rate, MOMENTARY_S), Loudest(rate, SHORT_TERM_S)

    def add(self, frames: Samples) -> None:
        for start in range(0, len(frames), self._piece):
            self._add(np.array(frames[start : start + self._piece].T, dtype=np.float64, order="C"))

    def _add(self, piece: NDArray[np.float64]) -> None:
        weighted, self._state = scipy.signal.sosfilt(self._sections, piece, axis=1, zi=self._state)
        squares = self._weights @ np.square(weighted, out=weighted)
        self._moment.add(squares)
        self._stretch.add(squares)
        joined = np.concatenate([self._waiting, squares])
        powers = means(joined, self._step)
        self._powers.append(powers)
        self._waiting = joined[len(powers) * self._step :]

    def result(self) -> Loudness:
        """The loudness of all that was added. Raises ValueError for less than 400 ms of sound."""
        powers = np.concatenate([np.empty(0), *self._powers])
        return from_powers(powers, self._moment, self._stretch)


class PeakMeter:
    """Sample peak, true peak, crest factor, clipping and offset (notes.listening.peaks).

    True peak by the polyphase filter of scipy's resample_poly as one product of matrices, and only
    where the signal could exceed what was found before: between samples it cannot rise above the
    neighbouring samples' largest value times the sum of the filter's absolute weights.
    """

    _REACH, _ROW = 10, 20  # samples to each side; samples interpolated by one row

    def __init__(self, rate: float, channels: int) -> None:
        # 8-fold at 48 kHz, less at higher rates, whose samples lie closer.
        factor = max(2, 8 >> round(np.log2(max(1.0, check_rate(rate) / 48_000))))
        self._matrix, self._most = _interpolator(factor, self._REACH, self._ROW)
        # Begins with the silence before the first sample; then what waits for its neighbours.
        self._rest = np.zeros((channels, self._REACH), np.float32)
        self._highest = self._largest = 0.0
        self._squares, self._frames = np.zeros(channels), 0
        self._sums = np.zeros(channels)
        self._clipped = ClippedRuns(channels)

    def add(self, frames: Samples) -> None:
        if len(frames) == 0:
            return
        block = np.array(frames.T, dtype=np.float32, order="C")
        self._frames += block.shape[1]
        self._squares = self._squares + _sums_of_squares(block)
        self._sums = self._sums + block.sum(axis=1, dtype=np.float64)
        top = max(float(block.max()), -float(block.min()))
        self._largest = max(self._largest, top)
        self._highest = max(self._highest, top)
        # A block that nowhere reaches full scale needs no search; one frame of silence ends open
        # runs.
        self._clipped.add(block.T if top >= CLIPPED_AT else block[:, :1].T * 0)
        self._rest = self._between(np.concatenate([self._rest, block], axis=1))

    def _between(self, frames: NDArray[np.float32]) -> NDArray[np.float32]:
        """Between the samples of whole rows that have neighbours on both sides. Gives the rest."""
        row = self._ROW
        width = row + 2 * self._REACH  # of a window: two rows
        rows = (frames.shape[1] - width) // row + 1
        if rows < 1:
            return frames
        for channel in frames:
            windows = np.lib.stride_tricks.as_strided(channel, (rows, width), (4 * row, 4))
            parts = np.abs(channel[: (rows + 1) * row]).reshape(rows + 1, row).max(axis=1)
            self._rise(windows, np.maximum(parts[:-1], parts[1:]))
        return frames[:, rows * row :].copy()

    def _rise(self, windows: NDArray[np.float32], bound: NDArray[np.float32]) -> None:
        """`bound`: the largest sample of each window. The loudest windows first."""
        loudest = bound >= 0.8 * bound.max()
        for chosen in (loudest, ~loudest):
            able = chosen & (bound * self._most > self._highest)
            if able.any():
                between = windows[able] @ self._matrix
                self._highest = max(self._highest, float(between.max()), -float(between.min()))

    def _finished(self) -> float:
        """The highest value with the silence after the last sample, which the filter sees, too."""
        if self._frames:
            silence = np.zeros((len(self._rest), 2 * self._ROW), np.float32)
            self._between(np.concatenate([self._rest, silence], axis=1))
        return self._highest

    def sample_peak(self) -> float:
        """Largest absolute sample, dBFS; −inf for silence."""
        return decibels(self._largest)

    def true_peak(self) -> float:
        """Largest absolute value between samples too, dBTP; −inf for silence."""
        return decibels(self._finished())

    def crest_factor(self) -> float:
        """Peak over rms of the loudest channel, dB; NaN for silence."""
        rms = float(np.sqrt(self._squares.max() / self._frames)) if self._frames else 0.0
        return decibels(self._largest / rms) if rms else float("nan")

    def clipped_runs(self) -> int:
        return sum(self._clipped.counts)

    def clipped_samples(self) -> int:
        """How many samples of the channel that has most stand in such runs."""
        return max(self._clipped.samples)

    def dc_offset(self) -> float:
        """Mean of the channel that lies farthest off centre, full scale 1, with its sign."""
        return farthest(self._sums / self._frames) if self._frames else 0.0


def _sums_of_squares(block: NDArray[np.float32]) -> NDArray[np.float64]:
    """Sum of squares per channel: in float32 over short stretches, which are added in float64."""
    return np.array(
        [
            sum(float(part @ part) for part in np.split(each, range(4096, len(each), 4096)))
            for each in block
        ]
    )


def _interpolator(factor: int, reach: int, row: int) -> tuple[NDArray[np.float32], float]:
    """The matrix from row + 2·reach samples to the factor − 1 values after each of `row` samples,
    and how far such a value can rise above the largest of the samples."""
    taps = scipy.signal.firwin(2 * reach * factor + 1, 1 / factor, window=("kaiser", 5.0)) * factor
    padded = np.concatenate([np.zeros(factor), taps, np.zeros(factor)])
    middle = reach * factor + factor
    matrix = np.zeros((row + 2 * reach, row * (factor - 1)), np.float32)
    most = 1.0
    for phase in range(1, factor):
        weights_ = padded[middle + phase - factor * np.arange(-reach, reach + 1)]
        most = max(most, float(np.abs(weights_).sum()))
        for at in range(row):
            column = at * (factor - 1) + phase - 1
            # The last of 2·reach + 1 neighbours has no weight where phase > 0.
            matrix[at : at + 2 * reach + 1, column] = weights_[: row + 2 * reach - at]
    return matrix, most * 1.0001


class SpectrumMeter:
    """Welch spectrum (notes.listening.bands.spectrum) and correlation of the first two channels.

    In float32, twice as fast; its rounding lies 130 dB below the loudest part.
    """

    def __init__(self, rate: float, channels: int) -> None:
        self._rate, self._length = check_rate(rate), window_length(rate)
        self._hop = self._length // OVERLAP
        self._window = scipy.signal.windows.hann(self._length, sym=False).astype(np.float32)
        # Begins with silence, so that the first samples lie under as many windows as the others.
        self._rest = np.zeros((channels, self._length - self._hop), np.float32)
        self._power, self._frames = np.zeros(self._length // 2 + 1), 0
        self._products = np.zeros(3)  # left·left, right·right, left·right

    def add(self, frames: Samples) -> None:
        block = np.array(frames.T, dtype=np.float32, order="C")
        self._frames += block.shape[1]
        if len(block) > 1:
            self._correlate(block[0], block[1])
        joined = np.concatenate([self._rest, block], axis=1)
        whole = max(0, (joined.shape[1] - self._length) // self._hop + 1)
        self._power += self._power_of(joined, whole)
        self._rest = joined[:, whole * self._hop :].copy()

    def _power_of(self, frames: NDArray[np.float32], windows: int) -> NDArray[np.float64]:
        """Power of all channels and of so many windows together, per bin."""
        power = np.zeros(self._length // 2 + 1)
        for start in range(0, windows * self._hop, self._hop):
            power += _power(frames[:, start : start + self._length] * self._window)
        return power

    def _correlate(self, left: NDArray[np.float32], right: NDArray[np.float32]) -> None:
        for start in range(0, len(left), 4096):
            a, b = left[start : start + 4096], right[start : start + 4096]
            self._products += (float(a @ a), float(b @ b), float(a @ b))

    def spectrum(self) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Frequencies (Hz) and power density (1/Hz). Raises ValueError where nothing was added."""
        if self._frames == 0:
            raise ValueError("there are no samples")
        channels, left = self._rest.shape
        silence = np.zeros((channels, self._length), np.float32)
        windows = -(-left // self._hop)
        power = self._power + self._power_of(np.concatenate([self._rest, silence], axis=1), windows)
        squares = float((self._window.astype(np.float64) ** 2).sum()) / self._hop
        density = power * (2.0 / (self._rate * squares * self._frames * channels))
        # Only these two bins have no mirror image among the negative frequencies.
        density[[0, -1]] /= 2
        frequencies = np.fft.rfftfreq(self._length, 1 / self._rate)
        return np.asarray(frequencies, dtype=np.float64), density

    def correlation(self) -> float:
        """Correlation of the first two channels, −1 to 1; NaN for one channel or silence."""
        left, right, both = self._products
        scale = float(np.sqrt(left * right))
        return float(both / scale) if scale > 0 else float("nan")


def _power(part: NDArray[np.float32]) -> NDArray[np.float64]:
    """Power of all channels together, per bin."""
    bins = scipy.fft.rfft(part, axis=1)
    return np.asarray((bins.real**2 + bins.imag**2).sum(axis=0), dtype=np.float64)
