"""A photo with pins in the small production."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

from rigs.changes.edits import Add
from rigs.models import Photo, Pin
from rigs.photos.services import add_photos
from tests.support.everything import picture
from tests.support.world import World


def add_photo(
    world: World, caption: str = "Front of the head", about: Any = None, colour: str = "maroon"
) -> Photo:
    add_photos(world.rig, [picture(colour)], about=about, caption=caption, author=world.tech)
    return Photo.objects.filter(rig=world.rig).order_by("position").last()  # type: ignore[return-value]


def add_pin(world: World, photo: Photo, at: Any = None, /, **more: Any) -> Pin:
    fields = {"photo": str(photo.pk), "x": "0.25", "y": "0.5", **more}
    if at is not None:
        fields["about"] = str(at.pk)
    part = str(uuid4())
    world.record(Add(part, "pin", fields))
    return Pin.objects.get(pk=part)
