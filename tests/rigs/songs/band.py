"""A set of songs, and a guitar rig with two guitars, for what songs change."""

from __future__ import annotations

from typing import Any
from uuid import UUID, uuid4

from core.models import Song
from rigs.changes.edits import Add
from rigs.models import Rig, SongSetting
from rigs.models.songs import own_id
from rigs.revisions.record import create
from tests.support.world import World

DROP_C = "C2 G2 C3 F3 A3 D4"
STANDARD = "E2 A2 D3 G3 B3 E4"


def make_song(world: World, title: str, position: int, **more: Any) -> Song:
    return Song.objects.create(production=world.production, title=title, position=position, **more)


def difference(rig: Rig, song: Song, what: str, about: Any = None, value: str = "") -> Add:
    """What the page would send for one thing that `song` changes."""
    pk = getattr(about, "pk", about)
    fields: dict[str, Any] = {"song": str(song.pk), "what": what, "value": value}
    if what != "cue":
        fields[SongSetting.ABOUT[what]] = str(pk)
    part = uuid4() if what == "cue" else own_id(rig.pk, song.pk, what, pk)
    return Add(str(part), "song_setting", fields)


def guitars(world: World, *tunings: str) -> tuple[Rig, list[UUID]]:
    """A rig with one guitar for each tuning, the first being the usual one; and their ids."""
    ids = [uuid4() for _ in tunings]
    parts = [
        Add(
            str(pk),
            "unit",
            {
                "name": f"Guitar {n}",
                "gear": "guitar",
                "tuning": tuning,
                "position": n,
            },
        )
        for n, (pk, tuning) in enumerate(zip(ids, tunings, strict=True), start=1)
    ]
    rig = Rig(production=world.production, player=world.player, name="Guitars")
    create(rig, author=world.tech, parts=parts)
    return rig, ids
