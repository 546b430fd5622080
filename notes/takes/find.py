"""Where in a long recording somebody plays, and where they pause. Pure.

While a band plays, most of its channels are near their usual level. In a pause one talks and one
tunes: that is fainter, or on few of the channels. So each channel says for each half second how
near it is to its usual level, and their mean over a few seconds decides.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from notes.takes.levels import FRAME_S, Levels

METHOD = "takes/1"
# All of these are ours, set on the half of the recordings that limits are set on
# (docs/measurements.md).
USUAL = 90.0  # percentile of its levels that is called the usual level of a channel
RANGE_DB = 24.0  # so far below it a channel counts for nothing
QUIET_DB = -75.0  # a channel with nothing louder recorded nothing
PLAYING = 0.4  # of the mean of all channels
AROUND_S = 4.5
SHORTEST_PAUSE_S = 5.0
SHORTEST_TAKE_S = 15.0

Real = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Span:
    """From where to where, in s from the beginning of the recording."""

    starts_s: float
    ends_s: float

    @property
    def seconds(self) -> float:
        return self.ends_s - self.starts_s


def find_takes(files: Sequence[Levels], seconds: float) -> list[Span]:
    """Takes in order, apart from each other and inside the `seconds` of the recording; `files` ran
    together. Empty where nothing was recorded."""
    evidence = playing(files)
    if evidence is None:
        return []
    spans = _joined(_runs(_smoothed(evidence) > PLAYING), round(SHORTEST_PAUSE_S / FRAME_S))
    spans = [_tightened(span, evidence) for span in spans]
    found = [Span(first * FRAME_S, min(end * FRAME_S, seconds)) for first, end in spans]
    return [span for span in found if span.seconds >= SHORTEST_TAKE_S]


def playing(files: Sequence[Levels]) -> Real | None:
    """From 0 (nobody plays) to 1, one for each half second; None where all is silence."""
    frames = max((each.frames for each in files), default=0)
    channels = [channel for each in files for channel in _nearness(each, frames)]
    return np.asarray(np.mean(channels, axis=0)) if channels else None


def _nearness(levels: Levels, frames: int) -> Iterator[Real]:
    """Of each channel on which something was recorded: how near it is to its usual level."""
    for db in levels.db.T:
        usual = float(np.percentile(db, USUAL)) if len(db) else QUIET_DB
        if usual > QUIET_DB:
            near = (1 + (db - usual) / RANGE_DB).clip(0, 1)
            yield np.pad(near, (0, frames - len(near)))


def _smoothed(evidence: Real) -> Real:
    side = round((AROUND_S / FRAME_S - 1) / 2)
    padded = np.pad(evidence, side, mode="edge")
    windows = np.lib.stride_tricks.sliding_window_view(padded, 2 * side + 1)
    return np.asarray(np.median(windows, axis=1))


def _runs(on: NDArray[np.bool_]) -> list[tuple[int, int]]:
    edges = np.flatnonzero(np.diff(np.concatenate([[False], on, [False]]).astype(np.int8)))
    return [(int(first), int(end)) for first, end in edges.reshape(-1, 2)]


def _joined(spans: list[tuple[int, int]], gap: int) -> list[tuple[int, int]]:
    joined: list[tuple[int, int]] = []
    for first, end in spans:
        if joined and first - joined[-1][1] < gap:
            joined[-1] = (joined[-1][0], end)
        else:
            joined.append((first, end))
    return joined


def _tightened(span: tuple[int, int], evidence: Real) -> tuple[int, int]:
    """Borders at the first and at the last half second that is played by itself."""
    first, end = span
    on = np.flatnonzero(evidence[first:end] > PLAYING)
    return (first + int(on[0]), first + int(on[-1]) + 1) if len(on) else span
