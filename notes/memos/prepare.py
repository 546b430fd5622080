"""Decode a voice memo before any of it is stored: what it is, and a small copy of it."""

from __future__ import annotations

import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.files.base import File

from core.uploads.made_once import made_once
from notes.clips import decoder_process
from notes.clips.decode import Header
from notes.clips.decoder_jobs import write_preview
from notes.clips.formats import SoundError
from notes.clips.survey import Survey
from notes.clips.uploads import hear_sound, on_disk

LONGEST_S = 300  # what is longer belongs to the clips


@dataclass(frozen=True, slots=True)
class PreparedMemo:
    """A memo as it came, and what was made of it; nothing of it is stored yet."""

    file: File[Any]
    header: Header
    heard: Survey
    preview: bytes


def prepare_memo(file: File[Any]) -> PreparedMemo:
    """Decode a memo and make its small copy. Takes seconds and writes nothing.

    Raises SoundError for what is not taken.
    """
    return made_once(file, _prepared, SoundError)


def _prepared(file: File[Any]) -> PreparedMemo:
    with on_disk(file=file) as path, tempfile.TemporaryDirectory(prefix="memo-") as folder:
        header, heard = hear_sound(path)
        # By the frames that were counted, not by what the header says.
        if heard.frames > LONGEST_S * header.rate:
            raise SoundError(
                f"A voice memo may last {LONGEST_S // 60} minutes at most. Upload what is longer "
                "as a clip."
            )
        preview, within_s = Path(folder) / "preview.m4a", settings.CLIP_WORK_SECONDS
        decoder_process.run(write_preview, path, preview, within_s=within_s, seconds=within_s)
        return PreparedMemo(file, header, heard, preview.read_bytes())
