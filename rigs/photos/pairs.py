"""Photos of the same thing, to be compared: before and after."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import NamedTuple

from django.utils.translation import gettext as _

from rigs.changes.edits import WHOLE
from rigs.models import ChangeRow, Photo, Revision


class Taken(NamedTuple):
    """A photo with when and by whom it was brought, and the change that put it in the rig."""

    photo: Photo
    at: datetime
    by: str
    revision: Revision | None

    @property
    def name(self) -> str:
        return self.photo.caption or _("Photo")


def others_of(photo: Photo) -> list[Photo]:
    """Every other photo of the same unit, input or rig, put-away ones too, the nearest in time
    first. One query."""
    photos = Photo.objects.filter(rig=photo.rig_id, about=photo.about).exclude(pk=photo.pk)
    at = photo.image.stored_at
    return sorted(
        photos.select_related("image__taken_by"),
        key=lambda other: (abs(other.image.stored_at - at), other.position, str(other.pk)),
    )


def pair(a: Photo, b: Photo) -> tuple[Photo, Photo]:
    """The two photos, the one that was stored earlier first."""
    return (a, b) if _when(a) <= _when(b) else (b, a)


def _when(photo: Photo) -> tuple[datetime, int]:
    return photo.image.stored_at, photo.position


def taken(photos: Sequence[Photo]) -> list[Taken]:
    """Each photo with when and by whom it was stored, and the change it came with. One query."""
    came: dict[object, Revision] = {}
    rows = ChangeRow.objects.filter(part__in=[p.pk for p in photos], kind="photo", field=WHOLE)
    for row in rows.select_related("revision").order_by("pk"):
        # The first such row: a photo that was retired and restored has several.
        came.setdefault(row.part, row.revision)
    return [Taken(p, p.image.stored_at, p.image.taken_by.name, came.get(p.pk)) for p in photos]
