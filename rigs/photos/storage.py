"""Keep prepared photos under the SHA-256 of their bytes, through Django's default storage.

The same bytes are kept once, whoever sends them and however often. Files are written before the
rows that name them, so that a crash may leave a file without a row, but never a row without one.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import NamedTuple

from django.core.files.base import ContentFile, File
from django.core.files.storage import default_storage
from django.utils.translation import gettext as _

from core import clock
from core.models import Production, User
from core.stored_files import open_stored, problem_of
from core.uploads.leftovers import drop_files
from rigs.models import StoredPhoto
from rigs.photos.prepare import Prepared

FOLDER = "photos"
LASTS = timedelta(days=1)  # a file that no row speaks of; one of today may get its row yet


class BrokenPhoto(NamedTuple):
    """A stored photo whose file is missing or not what it was."""

    photo: StoredPhoto
    path: str
    problem: str


def path_of(sha256: str) -> str:
    return f"{FOLDER}/{sha256[:2]}/{sha256}.webp"


def drop_unused(now: datetime | None = None) -> Iterator[str]:
    """Delete files that a killed upload left behind a day ago or more; their paths, as they go."""
    before = (now or clock.now()) - LASTS
    yield from drop_files(FOLDER, _named_in, before)


def _named_in(folder: str) -> set[str]:
    """The paths in that folder that rows of any production speak of."""
    return {
        path_of(sha256)
        for column in ("sha256", "thumb_sha256")
        for sha256 in StoredPhoto.objects.filter(**{f"{column}__startswith": folder}).values_list(
            column, flat=True
        )
    }


def store(prepared: Prepared, *, production: Production, taken_by: User) -> StoredPhoto:
    """The stored photo of those bytes in `production`: a new one, or the one there already."""
    full, thumb = _store_file(prepared.full), _store_file(prepared.thumb)
    stored, _ = StoredPhoto.objects.get_or_create(
        production=production,
        sha256=full,
        defaults={
            "thumb_sha256": thumb,
            "width": prepared.width,
            "height": prepared.height,
            "bytes": len(prepared.full),
            "taken_by": taken_by,
        },
    )
    return stored


def _store_file(data: bytes) -> str:
    sha256 = hashlib.sha256(data).hexdigest()
    path = path_of(sha256)
    if default_storage.exists(path):
        # Existing is not enough: the bytes are hashed again, and a damaged file is replaced.
        if not problem_of(path, sha256):
            return sha256
        default_storage.delete(path)  # cut short by a crash, or damaged since
    written = default_storage.save(path, ContentFile(data))
    if written != path:  # somebody wrote the same bytes meanwhile
        default_storage.delete(written)
    return sha256


def open_file(photo: StoredPhoto, *, thumb: bool = False) -> tuple[File[bytes], str]:
    """The open file and its hash. Raises StoredFileUnreadable."""
    sha256 = photo.thumb_sha256 if thumb else photo.sha256
    return open_stored(path_of(sha256), sha256, _("This photo")), sha256


def broken_photos(production: Production | None = None) -> Iterator[BrokenPhoto]:
    """Every stored photo whose picture or thumbnail is missing or changed, by hashing all again."""
    rows = StoredPhoto.objects.order_by("production_id", "stored_at", "pk")
    if production is not None:
        rows = rows.filter(production=production)
    checked: dict[str, str] = {}
    for photo in rows.iterator():
        for sha256 in (photo.sha256, photo.thumb_sha256):
            if sha256 not in checked:
                checked[sha256] = problem_of(path_of(sha256), sha256)
            if checked[sha256]:
                yield BrokenPhoto(photo, path_of(sha256), checked[sha256])
