"""How loud each channel of a long sound is, half a second at a time. Pure.

One byte for each channel and half second is all that finding takes needs: a rehearsal of 90
minutes on 32 channels comes to 346 kB before packing, however large its files are.
"""

from __future__ import annotations

import zlib
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from notes.clips.decode import Block

METHOD = "levels/1"
FRAME_S = 0.5
_FLOOR_DB, _STEPS = -120.0, 2.0  # what the lowest byte means, and steps to a decibel

Real = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Levels:
    """`db`: rms of each half second in dBFS, of shape (frames, channels)."""

    db: Real

    @property
    def frames(self) -> int:
        return int(self.db.shape[0])

    @property
    def channels(self) -> int:
        return int(self.db.shape[1])

    def packed(self) -> bytes:
        plain = np.rint((self.db - _FLOOR_DB) * _STEPS).clip(0, 255).astype(np.uint8)
        # Differences along time are mostly small, and pack better than levels.
        return zlib.compress(np.diff(plain, axis=0, prepend=np.uint8(0)).tobytes(), 6)


def unpacked(data: bytes, channels: int) -> Levels:
    """What `Levels.packed` packed, to the half decibel. Raises ValueError where it did not."""
    try:
        steps = np.frombuffer(zlib.decompress(data), np.uint8).reshape(-1, channels)
    except zlib.error as error:
        raise ValueError(f"these are no levels: {error}") from None
    plain = np.add.accumulate(steps, axis=0, dtype=np.uint8)
    return Levels(plain / _STEPS + _FLOOR_DB)


class LevelMeter:
    """Add the blocks of a sound, then ask for its levels. Memory grows by 8 bytes a channel and
    second, whatever the rate."""

    def __init__(self, rate: int, channels: int) -> None:
        self._size = max(1, round(rate * FRAME_S))
        self._rest = np.zeros((0, channels), np.float32)
        self._powers: list[NDArray[np.float32]] = []

    def add(self, block: Block) -> None:
        samples = np.concatenate([self._rest, block]) if len(self._rest) else block
        used = len(samples) // self._size * self._size
        if used:
            self._powers.append(_powers(samples[:used], used // self._size))
        self._rest = samples[used:].copy()

    def levels(self) -> Levels:
        """What is left of less than half a second at the end counts as a whole one."""
        powers = [*self._powers]
        if len(self._rest):
            powers.append(_powers(self._rest, 1))
        channels = self._rest.shape[1]
        every = np.concatenate(powers) if powers else np.zeros((0, channels), np.float32)
        return Levels(10 * np.log10(np.maximum(every, 10 ** (_FLOOR_DB / 10)), dtype=np.float64))


def _powers(samples: Block, frames: int) -> NDArray[np.float32]:
    parts = samples.reshape(frames, -1, samples.shape[1])
    return np.asarray(np.einsum("fsc,fsc->fc", parts, parts) / parts.shape[1], dtype=np.float32)
