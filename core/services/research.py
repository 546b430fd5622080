"""Find what was noted of records: for a song, and for the players whose rigs it concerns."""

from __future__ import annotations

from collections.abc import Iterable
from uuid import UUID

from django.db.models import Q, QuerySet

from core.composed import Composed, column
from core.models import Player, Production, Research, Song


def research_of(production: Production | UUID) -> QuerySet[Research]:
    """What is in use in the production, in the order of the set; of songs in use only."""
    research = Research.objects.live().filter(song__production=production, song__retired_at=None)
    return research.select_related("song", "player", "written_by")


def for_player(player: Player) -> list[Research]:
    """What a player's rig should take from records, in the order of the set. One query.

    What concerns everybody is among it.
    """
    return _for_player(player.production_id, player.pk)


_for_player = Composed(
    lambda production, player: research_of(production).filter(Q(player=player) | Q(player=None)),
    column(Song, "production"),
    column(Research, "player"),
)


def by_song(rows: Iterable[Research]) -> dict[UUID, list[Research]]:
    """The same by the id of the song."""
    result: dict[UUID, list[Research]] = {}
    for each in rows:
        result.setdefault(each.song_id, []).append(each)
    return result
