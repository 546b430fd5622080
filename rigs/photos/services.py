"""Store photos and add them to a rig."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from uuid import UUID, uuid4

from django.db import transaction
from django.db.models import Max

from core.models import User
from rigs.changes.edits import Add
from rigs.models import Photo, Revision, Rig
from rigs.photos.prepare import Prepared
from rigs.photos.storage import store
from rigs.revisions.record import record


@dataclasses.dataclass(frozen=True, slots=True)
class Added:
    """How many photos are new, and how many were there already; the change that shows them."""

    new: int
    known: int
    revision: Revision | None


@transaction.atomic
def add_photos(
    rig: Rig,
    pictures: Sequence[Prepared],
    *,
    about: UUID | None,
    caption: str,
    author: User,
    view: str = "",
) -> Added:
    """Keep `pictures` and show them with `rig`, or with its unit or input `about`, as one change.

    A picture that shows the same thing already is there once, whatever its caption: it may have
    been sent again because an answer was lost. One that comes without a word on what it shows is
    not added where the rig shows it with anything. Nobody else's edit can stand against a new
    photo, so the newest state is the base. Raises ValidationError where `about` is no unit or
    input of the rig.
    """
    Rig.objects.select_for_update().get(pk=rig.pk)  # whoever sends the same at once waits
    images = [store(p, production=rig.production, taken_by=author) for p in pictures]
    shown = Photo.objects.filter(rig=rig, retired=False, image__in=images)
    if about or view or caption:
        shown = shown.filter(about=about)
    known = set(shown.values_list("image", flat=True))
    stored = [each for each in dict.fromkeys(images) if each.pk not in known]
    last = Photo.objects.filter(rig=rig).aggregate(last=Max("position"))["last"]
    first = 0 if last is None else last + 1
    adds = [
        Add(
            str(uuid4()),
            "photo",
            {
                "image": str(photo.pk),
                "about": str(about) if about else None,
                "view": view,
                "caption": caption,
                "position": first + place,
            },
        )
        for place, photo in enumerate(stored)
    ]
    # Read after the lock: the caller's rig may be older than what others have written since.
    rig.refresh_from_db(fields=["head_number", "head_digest"])
    revision = record(rig, adds, author=author, base=rig.head_number)
    return Added(new=len(stored), known=len(pictures) - len(stored), revision=revision)
