"""The samples of a clip's working copy, in blocks: whole, ten minutes would fill 460 MB."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

import numpy as np
import soundfile
from django.utils.translation import gettext as _

from core.stored_files import StoredFileUnreadable
from notes.clips.decode import Block
from notes.clips.storage import open_sound
from notes.models import Clip

_BLOCK = 1 << 17


@contextmanager
def opened(clip: Clip) -> Iterator[soundfile.SoundFile]:
    """The working copy, to be decoded. Raises StoredFileUnreadable."""
    with open_sound(clip.working, clip) as stored, soundfile.SoundFile(stored) as file:
        yield file


def blocks(clip: Clip, frames: int = _BLOCK) -> Iterator[Block]:
    """Float32 of shape (frames, channels), full scale 1.0, so many frames at a time.

    Raises StoredFileUnreadable.
    """
    have = 0
    with opened(clip) as file:
        while len(block := _read(file, frames)):
            have += len(block)
            yield block
        if have < file.frames:  # the storage failed meanwhile: an error does not come through
            raise StoredFileUnreadable(
                _("The sound “{clip}”").format(clip=clip), _("the storage failed half-way")
            )


def _read(file: soundfile.SoundFile, frames: int) -> Block:
    try:
        block: Block = file.read(frames, dtype="float32", always_2d=True)
    except soundfile.LibsndfileError:
        return np.zeros((0, file.channels), np.float32)
    return block


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
