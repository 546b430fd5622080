"""Store sounds and clips under the SHA-256 of their bytes, through Django's default storage.

The same bytes are stored once. Files are written before the rows that speak of them; where a row
does not come to be, `SoundWriter` takes its files away again.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from types import TracebackType
from typing import NamedTuple, Self

from django.core.files.base import File
from django.core.files.storage import default_storage
from django.db.models import Q
from django.utils.translation import gettext as _

from core.models import Production
from core.stored_files import (
    REMOVED,
    StoredFileUnreadable,
    open_stored,
    problem_of,
    was_removed,
)
from notes.clips.formats import KINDS, WAV
from notes.models import Clip, NoteMemo, StoredSound

COPIES = ("original", "working", "preview")
# What players ask for: the small copy, or, where a browser cannot decode AAC, the clip itself.
PLAYED = ("preview", "working")
WORKING_TYPE, PREVIEW_TYPE = "audio/flac", "audio/mp4"
FOLDER = "clips"


class BrokenFile(NamedTuple):
    """A file of a clip or a sound that is missing or not what it was."""

    production: Production
    path: str
    problem: str


def path_of(sha256: str) -> str:
    return f"{FOLDER}/{sha256[:2]}/{sha256}"


def named_in(folder: str) -> set[str]:
    """The paths in that folder of clips that rows of any production speak of."""
    columns = ((StoredSound, "sha256"), (Clip, "working"), (Clip, "preview"), (NoteMemo, "preview"))
    return {
        path_of(sha256)
        for model, column in columns
        for sha256 in model._default_manager.filter(
            **{f"{column}__startswith": folder}
        ).values_list(column, flat=True)
    }


def hash_of(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def is_named(sha256: str) -> bool:
    """Whether any row of any production speaks of those bytes."""
    return (
        StoredSound.objects.filter(sha256=sha256).exists()
        or Clip.objects.filter(Q(working=sha256) | Q(preview=sha256)).exists()
        or NoteMemo.objects.filter(preview=sha256).exists()
    )


class SoundWriter:
    """Writes files; if the `with` block ends in an error, removes those that no row names."""

    def __init__(self) -> None:
        self._written: list[str] = []

    def write(self, source: Path, sha256: str = "") -> tuple[str, int]:
        """The hash and the size in bytes of `source`, now in the storage. `sha256` where it is
        known already: hashing hours of many channels takes minutes."""
        sha256, size = sha256 or hash_of(source), source.stat().st_size
        path = path_of(sha256)
        if default_storage.exists(path):
            # Its bytes are hashed again: a file of that name proves nothing.
            if not problem_of(path, sha256):
                return sha256, size
            default_storage.delete(path)  # cut short by a crash, or damaged since
        with source.open("rb") as file:
            written = default_storage.save(path, File(file))
        self._written.append(sha256)
        if written != path:  # somebody wrote the same bytes meanwhile
            default_storage.delete(written)
        return sha256, size

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: object, trace: TracebackType | None
    ) -> None:
        if kind is None:
            return
        for sha256 in self._written:
            # Somebody else may have stored the same bytes meanwhile, in another production as well.
            if not is_named(sha256):
                with suppress(OSError):
                    default_storage.delete(path_of(sha256))


def open_copy(clip: Clip, copy: str) -> tuple[File[bytes], str, int]:
    """The open file, its content type and its size in bytes.

    Raises KeyError for a copy that there is none of, StoredFileUnreadable.
    """
    sha256, content_type = named(clip, copy)
    if was_removed(sha256, clip.production_id):
        raise StoredFileUnreadable(_of_clip(clip), str(REMOVED))
    file = open_sound(sha256, clip)
    return file, content_type, file.size


def open_sound(sha256: str, named_by: Clip | StoredSound) -> File[bytes]:
    """The open file of those bytes, which belong to `named_by`. Raises StoredFileUnreadable."""
    return open_stored(path_of(sha256), sha256, _of_clip(named_by))


def _of_clip(named_by: Clip | StoredSound) -> str:
    return _("The sound “{clip}”").format(clip=named_by)


def check_sounds(*clips: Clip) -> None:
    """Raise StoredFileUnreadable for the first of them whose working copy cannot be read. Figures
    of a sound may be stored or cached, and are of no use where the sound cannot be played."""
    for clip in clips:
        open_sound(clip.working, clip).close()


def unreadable_words(clip: Clip) -> str:
    """Why a clip cannot be played, in a sentence; empty where it can."""
    try:
        for copy in ("preview", "working"):
            open_copy(clip, copy)[0].close()
    except StoredFileUnreadable as error:
        return str(error)
    return ""


def named(clip: Clip, copy: str) -> tuple[str, str]:
    """Hash and content type of a copy. Raises KeyError for one that there is none of."""
    if copy == "original":
        kind = KINDS.get(clip.sound.kind, WAV)
        return clip.sound.sha256, kind.content_type
    return {
        "working": (clip.working, WORKING_TYPE),
        "preview": (clip.preview, PREVIEW_TYPE),
    }[copy]


def broken_clips(production: Production | None = None) -> Iterator[BrokenFile]:
    """Every file of a sound or a clip that is missing or changed, by hashing all again."""
    # Several rows may name the same bytes; each file is read once.
    checked: dict[str, str] = {}
    for place, sha256 in _named_files(production):
        if sha256 not in checked:
            checked[sha256] = problem_of(path_of(sha256), sha256)
        if checked[sha256]:
            yield BrokenFile(place, path_of(sha256), checked[sha256])


def _named_files(production: Production | None) -> Iterator[tuple[Production, str]]:
    only = {"production": production} if production else {}
    for sound in StoredSound.objects.filter(**only).select_related("production").iterator():
        yield sound.production, sound.sha256
    for clip in Clip.objects.filter(**only).select_related("production").iterator():
        yield clip.production, clip.working
        yield clip.production, clip.preview
    memos = NoteMemo.objects.filter(**{f"note__{name}": value for name, value in only.items()})
    for memo in memos.select_related("note__production").iterator():
        yield memo.note.production, memo.preview
