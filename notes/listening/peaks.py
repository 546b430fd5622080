"""Peaks: sample peak, true peak (ITU-R BS.1770, Annex 2), crest factor, clipping, DC offset."""

from __future__ import annotations

import numpy as np
import scipy  # its parts load when they are first used
from numpy.typing import NDArray

from notes.listening.samples import Samples, as_frames, decibels

METHOD = "peaks/2"
# One or two samples at full scale may be a peak, three in a row hardly: common practice, no source.
CLIPPED_AT, CLIPPED_RUN = 0.9999, 3
_BLOCK = 1 << 18
_MARGIN = 64
# An offset of a hundredth of full scale is worth a remark: common practice, no source.
_LEAST_OFFSET, _LOWEST_HZ = 0.01, 20.0


def sample_peak(samples: Samples) -> float:
    """Largest absolute sample, dBFS; −inf for silence."""
    return decibels(float(np.abs(as_frames(samples)).max()))


def true_peak(samples: Samples, factor: int = 8) -> float:
    """Largest absolute value between samples too, dBTP, by `factor`-fold oversampling.

    In blocks with a margin on both sides, so that memory does not grow with length. Reads at most
    0.17 dB low at 8-fold for a tone at a quarter of the rate (BS.1770, attachment to Annex 2).
    """
    frames = as_frames(samples)
    highest = float(np.abs(frames).max())
    for start in range(0, len(frames), _BLOCK):
        first = max(0, start - _MARGIN)
        block = frames[first : start + _BLOCK + _MARGIN]
        highest = max(
            highest, float(np.abs(scipy.signal.resample_poly(block, factor, 1, axis=0)).max())
        )
    return decibels(highest)


def crest_factor(samples: Samples) -> float:
    """Peak over rms of the loudest channel, dB; NaN for silence."""
    frames = as_frames(samples)
    rms = float(np.sqrt((frames**2).mean(axis=0)).max())
    if rms == 0:
        return float("nan")
    return decibels(float(np.abs(frames).max()) / rms)


def dc_offset(samples: Samples) -> float:
    """Mean of the channel that lies farthest off centre, full scale 1, with its sign."""
    return farthest(as_frames(samples).mean(axis=0))


def farthest(offsets: NDArray[np.float64]) -> float:
    return float(offsets[np.argmax(np.abs(offsets))])


def is_offset(offset: float, peak: float, seconds: float) -> bool:
    """Whether a mean of so much is one of the recording and not of a note that was cut off.

    `offset` and `peak` with full scale 1. A sine of amplitude A and f Hz has a mean of A/(πfT) at
    most over T seconds, wherever it is cut; nothing lower than 20 Hz is taken for a sound.
    """
    return abs(offset) >= max(_LEAST_OFFSET, peak / (np.pi * _LOWEST_HZ * seconds))


def clipped_runs(samples: Samples, threshold: float = CLIPPED_AT, run: int = CLIPPED_RUN) -> int:
    """How many times `run` or more samples in a row stand at full scale on one channel.

    A wave that goes from one end of the scale to the other within a sample is at full scale twice.
    """
    frames = as_frames(samples)
    counter = ClippedRuns(frames.shape[1], threshold, run)
    counter.add(frames)
    return int(sum(counter.counts))


class ClippedRuns:
    """Counts runs at full scale per channel, block by block; a run may lie across two blocks.

    `samples` are those that stand in the runs that were counted.
    """

    def __init__(
        self, channels: int, threshold: float = CLIPPED_AT, run: int = CLIPPED_RUN
    ) -> None:
        self.counts, self.samples = [0] * channels, [0] * channels
        self._threshold, self._run = threshold, run
        # Up to the end of the last block: how many samples at full scale, and at which end of it.
        self._open = [(0, 0)] * channels

    def add(self, frames: Samples, tops: Samples | None = None) -> None:
        """Shape (frames, channels); `tops`: the largest magnitude of each channel, where that is
        known already."""
        for channel, column in enumerate(frames.T):
            if tops is None:
                top = max(float(column.max(initial=0)), -float(column.min(initial=0)))
            else:
                top = float(tops[channel])
            if len(column) and (self._open[channel][0] or top >= self._threshold):
                self._add(channel, column)

    def _add(self, channel: int, column: Samples) -> None:
        ends = (column >= self._threshold).astype(np.int8) - (column <= -self._threshold)
        starts = np.concatenate([[0], np.flatnonzero(np.diff(ends)) + 1])
        lengths = np.diff(np.concatenate([starts, [len(ends)]]))
        before, end = self._open[channel]
        if before and ends[0] == end:
            lengths[0] += before
            if before >= self._run:  # counted already
                self.counts[channel] -= 1
                self.samples[channel] -= before
        runs = lengths[(ends[starts] != 0) & (lengths >= self._run)]
        self.counts[channel] += len(runs)
        self.samples[channel] += int(runs.sum())
        self._open[channel] = (int(lengths[-1]), int(ends[-1])) if ends[-1] else (0, 0)
