"""Clips for comparing, whose differences are known because they are made here."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from notes.models import Clip
from tests.support.sounds import as_file, bring_clip
from tests.support.world import World

RATE = 48_000
Sound = NDArray[np.float64]


def noise(seconds: float = 4.0, seed: int = 1, level: float = 0.1) -> Sound:
    return level * np.random.default_rng(seed).standard_normal(round(seconds * RATE))


def shaped(sound: Sound, low: float, high: float, gain_db: float) -> Sound:
    """`gain_db` between two frequencies, exactly, and nothing elsewhere."""
    lines = np.fft.rfft(sound)
    at = np.fft.rfftfreq(len(sound), 1 / RATE)
    lines[(at >= low) & (at < high)] *= 10 ** (gain_db / 20)
    return np.fft.irfft(lines, len(sound))


def later(sound: Sound, samples: int) -> Sound:
    return np.concatenate([np.zeros(samples), sound])[: len(sound)]


def clip_of(world: World, sound: Sound, title: str, *, format: str = "WAV", **more: Any) -> Clip:
    """A clip of `sound`, unless the input has one of the same bytes: that one then.

    A second clip of equal samples takes another lossless `format`.
    """
    data = as_file(sound, format=format)
    return bring_clip(world, data, title=title, name=f"{title}.{format.lower()}", **more)


def two_clips(world: World, seconds: float = 4.0) -> tuple[Clip, Clip]:
    """One performance twice: the second 6 dB down, 480 samples later, 3 dB less at 100–160 Hz."""
    first = noise(seconds)
    # The outer edges of the third-octave bands at 100 and 160 Hz, so that whole bands change.
    second = 0.5 * later(shaped(first, 89.125, 177.828, -3), 480)
    return clip_of(world, first, "Near"), clip_of(world, second, "Far")
