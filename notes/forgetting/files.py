"""Pictures and sounds leave the storage on request, on record, once the transaction is done.

Whatever row speaks of one stays, and its digest; shown is that it was removed.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import partial
from typing import Any

from django.core.files.storage import default_storage
from django.db import transaction
from django.db.models import QuerySet
from django.urls import reverse

from core.models import Production, Removal, RemovedFile, User
from core.stored_files import removed_from
from notes.archive.files import PATHS, is_named
from notes.models import Clip, NoteMemo, NotePhoto, StoredSound
from rigs.models import StoredPhoto

Named = tuple[str, str]  # the folder of the storage, and the SHA-256


def of_picture(image: StoredPhoto) -> list[Named]:
    return [("photos", each) for each in (image.sha256, image.thumb_sha256)]


def of_recording(sound: StoredSound) -> list[Named]:
    """The file as it came, and every copy that was cut or packed from it."""
    copies = Clip.objects.filter(sound=sound).values_list("working", "preview")
    memos = NoteMemo.objects.filter(sound=sound).values_list("preview")
    named = {each for row in (*copies, *memos) for each in row if each}
    return [("sounds", each) for each in (sound.sha256, *sorted(named))]


@transaction.atomic
def remove_files(
    production: Production, files: Sequence[Named], *, by: User, asked_by: str, reason: str
) -> Removal:
    """Take `files` out of the storage, because somebody is to be seen or heard in them."""
    removal = Removal.objects.create(production=production, by=by, asked_by=asked_by, reason=reason)
    take_away(removal, files)
    return removal


def take_away(removal: Removal, files: Iterable[Named]) -> None:
    """Within a transaction. The bytes go when it is done."""
    for folder, sha256 in files:
        RemovedFile.objects.create(production=removal.production, sha256=sha256, removal=removal)
        transaction.on_commit(partial(_delete, folder, sha256))


def _delete(folder: str, sha256: str) -> None:
    """Unless another production has the same bytes, of which nobody there asked anything."""
    here = RemovedFile.objects.filter(sha256=sha256).values("production")
    if not is_named(folder, sha256, besides=here):
        default_storage.delete(PATHS[folder](sha256))


def gone_addresses(production: Production) -> list[str]:
    """What stands in the address of each file that was removed, and in no other's."""
    gone = removed_from(production.pk)
    return [*_addresses(production, gone)] if gone.exists() else []


def _addresses(production: Production, gone: QuerySet[RemovedFile, Any]) -> Iterator[str]:
    place = production.pk
    for image in StoredPhoto.objects.filter(production=place, sha256__in=gone):
        yield f"v={image.pk}"
    for photo in NotePhoto.objects.filter(note__production=place, image__sha256__in=gone):
        yield reverse("notes:note_photo_file", args=[place, photo.pk])
    for memo in NoteMemo.objects.filter(note__production=place, sound__sha256__in=gone):
        yield reverse("notes:note_memo_sound", args=[place, memo.pk])
    for clip in Clip.objects.filter(production=place, preview__in=gone):
        yield reverse("notes:clip_sound", args=[place, clip.pk, "preview"])
