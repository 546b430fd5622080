"""Put photos into a rig."""

from __future__ import annotations

from collections.abc import Sequence
from uuid import UUID, uuid4

from django.db.models import Max

from core.models import User
from rigs.changes.edits import Add
from rigs.models import Photo, Revision, Rig
from rigs.photos.prepare import Prepared
from rigs.photos.storage import keep
from rigs.revisions.record import record


def add_photos(
    rig: Rig, pictures: Sequence[Prepared], *, about: UUID | None, caption: str, author: User
) -> Revision | None:
    """Keep `pictures` and show them with `rig`, or with its unit or input `about`, as one change.

    Nobody else's edit can stand against a new photo, so the newest state is the base. Raises
    ValidationError where `about` is no unit or input of the rig.
    """
    stored = [keep(p, production=rig.production, taken_by=author) for p in pictures]
    last = Photo.objects.filter(rig=rig).aggregate(last=Max("position"))["last"]
    first = 0 if last is None else last + 1
    adds = [
        Add(
            str(uuid4()),
            "photo",
            {
                "image": str(photo.pk),
                "about": str(about) if about else None,
                "caption": caption,
                "position": first + place,
            },
        )
        for place, photo in enumerate(stored)
    ]
    rig.refresh_from_db(fields=["head_number", "head_digest"])
    return record(rig, adds, author=author, base=rig.head_number)
