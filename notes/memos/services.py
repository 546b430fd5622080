"""Store a voice memo with its note."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Any

from django.core.files.base import File
from django.utils.translation import gettext as _

from core.models import User
from core.stored_files import open_stored
from notes.clips.storage import SoundWriter, path_of
from notes.clips.uploads import on_disk, row_of, save
from notes.memos.prepare import PreparedMemo
from notes.models import Note, NoteMemo


def add_memo(note: Note, memo: PreparedMemo, *, by: User) -> NoteMemo:
    """Store a memo with `note`: files first, then rows, in the transaction of the note."""
    with (
        on_disk(file=memo.file) as path,
        tempfile.NamedTemporaryFile(prefix="memo-") as small,
        SoundWriter() as store,
    ):
        small.write(memo.preview)
        # The writer opens it by its name, so all of it has to be on disk.
        small.flush()
        store.write(path)
        preview, size = store.write(Path(small.name))
        name = memo.file.name or _("Voice memo")
        sound = row_of(path, memo.header, memo.heard, name=name, production=note.production, by=by)
        return NoteMemo.objects.create(
            note=note, sound=save(sound), preview=preview, preview_bytes=size
        )


def memo_data(memo: NoteMemo) -> dict[str, Any]:
    """A memo as handovers hold it, `seconds` as a number. Reads the sound."""
    return {
        "id": str(memo.pk),
        "sha256": memo.sound.sha256,
        "length": memo.length,
        "seconds": float(memo.sound.seconds),
    }


def open_preview(memo: NoteMemo) -> File[bytes]:
    """The open file of a memo's small copy. Raises StoredFileUnreadable."""
    return open_stored(path_of(memo.preview), memo.preview, f"The {memo}")
