"""A note with a photo."""

from __future__ import annotations

from typing import Any

from django.urls import reverse

from notes.models import NotePhoto
from notes.photos.services import add_photos
from tests.support.everything import picture
from tests.support.listening import hear
from tests.support.world import World


def with_photo(world: World, caption: str = "Fret 12", colour: str = "maroon") -> NotePhoto:
    """The engineer's note, with a photo that the tech added."""
    note = hear(world)
    add_photos(note, [picture(colour)], caption=caption, by=world.tech)
    return NotePhoto.objects.get(note=note)


def address(world: World, name: str, pk: Any) -> str:
    return reverse(f"notes:{name}", args=[world.production.pk, pk])
