"""The samples of a clip's working copy, whole or in blocks."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import soundfile
from django.core.files.storage import default_storage
from numpy.typing import NDArray

from notes.clips.decoding import Block
from notes.clips.storing import path_of
from notes.models import Clip

_BLOCK = 1 << 17


def samples(clip: Clip) -> tuple[NDArray[np.float64], int]:
    """All frames, shape (frames, channels), full scale 1.0, and the rate in Hz.

    Ten minutes of two channels at 48 kHz are 460 MB: use `blocks` where they will do. Raises
    FileNotFoundError where the storage has lost the file.
    """
    with (
        default_storage.open(path_of(clip.working)) as stored,
        soundfile.SoundFile(stored) as file,
    ):
        return file.read(dtype="float64", always_2d=True), int(file.samplerate)


def blocks(clip: Clip, frames: int = _BLOCK) -> Iterator[Block]:
    """The same, float32, so many frames at a time."""
    with (
        default_storage.open(path_of(clip.working)) as stored,
        soundfile.SoundFile(stored) as file,
    ):
        while len(block := file.read(frames, dtype="float32", always_2d=True)):
            yield block


def start_of(clip: Clip, frames: int) -> Block:
    """The first so many frames, or all there are of a shorter clip; the rest is not decoded."""
    parts: list[Block] = []
    have = 0
    for block in blocks(clip):
        parts.append(block)
        have += len(block)
        if have >= frames:
            break
    return np.concatenate(parts)[:frames]
