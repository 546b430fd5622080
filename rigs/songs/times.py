"""How long changes take, as the crew states it, or as it is commonly assumed."""

from __future__ import annotations

from collections.abc import Iterable
from uuid import UUID

from rigs.models import ChangeTimes
from rigs.songs.neighbours import ASSUMED, Times


def times_of(productions: Iterable[UUID]) -> dict[UUID, Times]:
    """By production, those that have stated something. One query."""
    rows = ChangeTimes.objects.filter(production__in=list(productions))
    return {row.production_id: as_times(row) for row in rows}


def as_times(row: ChangeTimes) -> Times:
    return Times(
        ASSUMED.change if row.change_s is None else row.change_s,
        ASSUMED.string if row.string_s is None else row.string_s,
    )
