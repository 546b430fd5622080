"""How loud a sound is over exactly what is played of it, so that two can be matched."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from notes.listening import loudness, peaks
from notes.listening.loudness import MOMENTARY_S
from notes.listening.meters import LoudnessMeter, PeakMeter
from notes.listening.samples import Samples, as_frames

METHOD = f"played/1 {loudness.METHOD} {peaks.METHOD}"


class PlayedLevels(NamedTuple):
    """Integrated loudness in LUFS (−inf for silence) and true peak in dBTP."""

    loudness: float
    true_peak: float


def played(samples: Samples, rate: float) -> PlayedLevels:
    """Loudness and true peak of a stretch, from its first to its last sample.

    What is shorter than the 0.4 s that BS.1770 needs is measured as it sounds over and over: it
    can only be a section that is looped.
    """
    frames = as_frames(samples)
    shortest = int(np.ceil(MOMENTARY_S * rate)) + 1
    if len(frames) < shortest:
        frames = np.tile(frames, (-(-shortest // len(frames)), 1))
    loud, top = LoudnessMeter(rate, frames.shape[1]), PeakMeter(rate, frames.shape[1])
    loud.add(frames)
    top.add(frames)
    return PlayedLevels(loud.result().integrated, top.true_peak())
