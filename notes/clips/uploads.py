"""Receive a sound: check it, read it once, store its bytes, read what its recorder wrote of it."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict
from decimal import Decimal
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.files.base import File
from django.core.files.storage import default_storage
from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from core.languages.words import number
from core.models import Production, User
from core.stored_files import StoredFileUnreadable
from notes.clips import decoder_process
from notes.clips.bext import read_bext
from notes.clips.decode import Header
from notes.clips.decode import header as read_header
from notes.clips.decoder_jobs import hear
from notes.clips.formats import SoundError
from notes.clips.storage import SoundWriter, hash_of, open_sound, path_of
from notes.clips.survey import Survey
from notes.clips.times import format_time
from notes.listening.beginning import Beginning
from notes.models import StoredSound

_CHUNK = 1 << 20


def sound_of(path: Path, *, name: str, production: Production, by: User) -> StoredSound:
    """What the file at `path` is: the sound that is stored already, or one not yet saved.

    No transaction is open while it is read, which may take many seconds. Raises SoundError, in
    words, for what is not taken.
    """
    size = path.stat().st_size
    if size > settings.CLIP_MAX_BYTES:
        raise SoundError(too_large(size))
    if known := StoredSound.objects.filter(production=production, sha256=hash_of(path)).first():
        return known
    return row_of(path, *hear_sound(path), name=name, production=production, by=by)


def hear_sound(path: Path) -> tuple[Header, Survey]:
    """What is in the file, heard to its end. Raises SoundError for what is not taken."""
    size = path.stat().st_size
    if size > settings.CLIP_MAX_BYTES:
        raise SoundError(too_large(size))
    within_s = settings.CLIP_WORK_SECONDS
    return decoder_process.run(
        hear, path, longest_s=settings.SOUND_MAX_SECONDS, within_s=within_s, seconds=within_s
    )


def row_of(
    path: Path,
    header: Header,
    heard: Survey,
    *,
    name: str,
    production: Production,
    by: User,
    sha256: str = "",
) -> StoredSound:
    """The sound at `path` as a row that is not saved yet; `sha256` where it is known already."""
    return StoredSound(
        production=production,
        sha256=sha256 or hash_of(path),
        bytes=path.stat().st_size,
        name=tidy_name(name),
        format=header.format,
        rate_hz=header.rate,
        channels=header.channels,
        seconds=(Decimal(heard.frames) / header.rate).quantize(Decimal("0.0001")),
        said=_broadcast_metadata(path, header.rate),
        beginning=header.beginning,
        found=heard.as_json() | {"frames": heard.frames, "bits": header.bits},
        brought_by=by,
    )


def receive(path: Path, *, name: str, production: Production, by: User) -> StoredSound:
    """Store a sound, so that clips can be cut from it later. Raises SoundError."""
    sound = sound_of(path, name=name, production=production, by=by)
    with SoundWriter() as store:
        store.write(path)
        return save(sound)


def save(sound: StoredSound) -> StoredSound:
    """Save a sound; where somebody sent the same bytes meanwhile, give their row instead."""
    if not sound._state.adding:
        return sound
    with transaction.atomic():
        theirs = StoredSound.objects.filter(production=sound.production, sha256=sound.sha256)
        if stored := theirs.first():
            return stored
        # A savepoint for the insert: on PostgreSQL a refused one would spoil the whole transaction.
        try:
            with transaction.atomic():
                sound.save(force_insert=True)
        except IntegrityError:
            return theirs.get()
    return sound


def beginning_of(sound: StoredSound) -> Beginning:
    """What is known of where a sound begins. For sounds from before this was stored it is looked up
    in the file, once; unknown where the file cannot be read."""
    if not sound.beginning:
        try:
            with stored_on_disk(sound) as path:
                sound.beginning = decoder_process.run(
                    read_header, path, seconds=settings.CLIP_WORK_SECONDS
                ).beginning
        except (StoredFileUnreadable, SoundError):
            return Beginning.UNKNOWN
        StoredSound.objects.filter(pk=sound.pk).update(beginning=sound.beginning)
    return Beginning(sound.beginning)


def too_large(size: int) -> str:
    most = settings.CLIP_MAX_BYTES / 1024 / 1024
    return _("The file has {size} MB; {most} MB is the most a sound may have.").format(
        size=number(size / 1024 / 1024, 0), most=number(most, 0)
    )


def tidy_name(name: str) -> str:
    """The last part of a path, without what cannot be printed, at most 200 characters."""
    last = name.replace("\\", "/").rsplit("/", 1)[-1]
    return "".join(c for c in last if c.isprintable()).strip()[-200:] or "sound"


def _broadcast_metadata(path: Path, rate: int) -> dict[str, Any]:
    with path.open("rb") as file:
        bext = read_bext(file)
    if bext is None:
        return {}
    at = bext.originated_at
    return asdict(bext) | {
        "originated_at": at.isoformat() if at else "",
        "begins": format_time(Decimal(bext.time_reference) / rate) if bext.time_reference else "",
    }


@contextmanager
def on_disk(data: bytes | None = None, file: File[Any] | None = None) -> Iterator[Path]:
    """The path of an upload, or of a copy of it for as long as the `with` block lasts."""
    # Django writes a large upload to a file by itself, which need not be copied.
    path = getattr(file, "temporary_file_path", None)
    if path is not None:
        yield Path(path())
        return
    with tempfile.NamedTemporaryFile(prefix="sound-") as copy:
        if file is not None:
            for chunk in file.chunks(_CHUNK):
                copy.write(chunk)
        else:
            copy.write(data or b"")
        copy.flush()
        yield Path(copy.name)


@contextmanager
def stored_on_disk(sound: StoredSound) -> Iterator[Path]:
    """The path of a stored sound, fetched first where the storage is not this machine's disk.

    Raises StoredFileUnreadable.
    """
    with open_sound(sound.sha256, sound) as stored:
        try:
            local = Path(default_storage.path(path_of(sound.sha256)))
        except NotImplementedError:
            with tempfile.NamedTemporaryFile(prefix="sound-") as copy:
                shutil.copyfileobj(stored, copy, _CHUNK)
                copy.flush()
                yield Path(copy.name)
                return
    yield local
