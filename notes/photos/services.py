"""Add photos to a note, and remove one."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Max
from django.utils.translation import gettext as _

from core.access.policy import Action, allowed
from core.models import User
from core.moments import written
from notes.models import Note, NotePhoto
from rigs.photos.prepare import Prepared
from rigs.photos.storage import store

MOST = 40  # photos of one note


@dataclass(frozen=True, slots=True)
class PhotosOfNote:
    """How many photos are new with the note, and how many it had already."""

    new: int
    known: int


@transaction.atomic
def add_photos(
    note: Note, pictures: Sequence[Prepared], *, caption: str = "", by: User
) -> PhotosOfNote:
    """Keep `pictures` and show them with `note`, after those that it has.

    A picture that the note shows already is there once, whatever its caption: it may have been
    sent again because an answer was lost. Raises ValidationError where they are too many.
    """
    Note.objects.select_for_update().get(pk=note.pk)  # whoever sends the same at once waits
    stored = [store(each, production=note.production, taken_by=by) for each in pictures]
    there = NotePhoto.objects.filter(note=note)
    shown = set(there.shown().values_list("image", flat=True))
    new = [image for image in dict.fromkeys(stored) if image.pk not in shown]
    if len(shown) + len(new) > MOST:
        raise ValidationError(
            {"photos": _("A note has {most} photos at most; add another note.").format(most=MOST)}
        )
    # After removed ones as well, which keep their place on the page of the note.
    last = there.aggregate(last=Max("position"))["last"]
    first = 0 if last is None else last + 1
    for place, image in enumerate(new, first):
        photo = NotePhoto(
            note=note, image=image, caption=caption.strip(), position=place, added_by=by
        )
        photo.stamp("added_at")
        photo.save(force_insert=True)
    return PhotosOfNote(new=len(new), known=len(pictures) - len(new))


def may_remove(photo: NotePhoto, user: User, roles: Collection[str]) -> bool:
    """Whoever added it, whoever wrote the note, and who may remove any. Reads the note."""
    own = user.pk in (photo.added_by_id, photo.note.written_by_id)
    return allowed(roles, Action.REMOVE_PHOTO if own else Action.REMOVE_ANY_PHOTO)


@transaction.atomic
def remove_photo(photo: NotePhoto, *, by: User) -> None:
    """Take `photo` off its note, which says so from then on. Once; the second time changes
    nothing. Its picture stays in the storage, for handovers that show it."""
    locked = NotePhoto.objects.select_for_update().get(pk=photo.pk)
    if locked.removed_at is None:
        locked.removed_at, locked.removed_by = written().at, by
        locked.save(update_fields=["removed_at", "removed_by"])


class NotePhotoView(NamedTuple):
    """A photo on its note's page, and whether the reader may remove it."""

    photo: NotePhoto
    may_remove: bool


def photos_of(note: Note, user: User, roles: Collection[str]) -> list[NotePhotoView]:
    """All photos that `note` ever had, removed ones too, and which of them `user` may remove. One
    query."""
    found = NotePhoto.objects.filter(note=note).select_related("image", "added_by", "removed_by")
    for photo in found:
        # Set by hand: `may_remove` reads the note, which would cost a query for each photo.
        photo.note = note
    return [NotePhotoView(photo, may_remove(photo, user, roles)) for photo in found]


def photo_data(photo: NotePhoto) -> dict[str, Any]:
    """A photo as handovers hold it. Reads the picture and the note."""
    return {
        "id": str(photo.pk),
        "image": str(photo.image_id),
        "sha256": photo.image.sha256,
        "caption": photo.caption,
        "alternative": photo.alternative,
        "width": photo.image.width,
        "height": photo.image.height,
    }
