"""The samples of a clip's working copy, in blocks: whole, ten minutes would fill 460 MB."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import soundfile
from django.core.files.storage import default_storage

from notes.clips.decode import Block
from notes.clips.storage import path_of
from notes.models import Clip

_BLOCK = 1 << 17


def blocks(clip: Clip, frames: int = _BLOCK) -> Iterator[Block]:
    """Float32 of shape (frames, channels), full scale 1.0, so many frames at a time.

    Raises FileNotFoundError where the storage has lost the file.
    """
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
