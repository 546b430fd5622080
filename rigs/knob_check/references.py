"""Photos with circles: what of a rig or a unit can be compared with a photo of now."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from typing import NamedTuple
from uuid import UUID

from django.db.models import Q

from core.languages.words import each_of, leading
from rigs.models import Control, Photo, Pin


class Circled(NamedTuple):
    """A pin with a mark (a circle, a slot, positions) and the control it points at."""

    pin: Pin
    control: Control


class Reference(NamedTuple):
    """A photo with marks, and those marks."""

    photo: Photo
    marks: list[Circled]

    @property
    def name(self) -> str:
        """What the photo shows, with its own words."""
        units = dict.fromkeys(str(each.control.unit) for each in self.marks)
        shown = each_of(units)
        return leading(shown, self.photo.caption) if self.photo.caption else shown


MARKED = Q(cap_radius__gt=0) | Q(slot_x__isnull=False) | ~Q(spots="")


def marked(photos: Iterable[UUID]) -> dict[UUID, list[Circled]]:
    """By the photo, its pins with a mark over a control that is in use. Two queries."""
    pins = list(
        Pin.objects.live()
        .filter(MARKED, photo__in=list(photos), about__isnull=False)
        .order_by("position", "pk")
    )
    controls = Control.objects.live().filter(pk__in=[pin.about for pin in pins])
    known = {each.pk: each for each in controls.select_related("rig", "unit")}
    found: dict[UUID, list[Circled]] = defaultdict(list)
    for pin in pins:
        if pin.about in known and known[pin.about].rig_id == pin.rig_id:
            found[pin.photo_id].append(Circled(pin, known[pin.about]))
    return dict(found)


def circled(photo: Photo) -> list[Circled]:
    """The marked pins of one photo. Two queries."""
    return marked([photo.pk]).get(photo.pk, [])


def references_of(rigs: Collection[UUID], *, unit: UUID | None = None) -> list[Reference]:
    """The photos in use with marks, in the order of the rigs' photos; with `unit`, those on which
    one of its controls is marked. Three queries."""
    photos = (
        Photo.objects.live()
        .filter(rig__in=rigs, rig__retired=False)
        .filter(pk__in=Pin.objects.live().filter(MARKED).values("photo"))
        .select_related("image", "rig__player", "rig__production")
        .order_by("rig__player__position", "rig", "position", "pk")
    )
    rows: Sequence[Photo] = list(photos)
    marks = marked(photo.pk for photo in rows)
    found = [Reference(photo, marks[photo.pk]) for photo in rows if photo.pk in marks]
    if unit is None:
        return found
    return [each for each in found if any(one.control.unit_id == unit for one in each.marks)]
