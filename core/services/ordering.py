"""Put things in order: players as on stage, songs as in the set, sections as in the song."""

from __future__ import annotations

from typing import Any, Literal

from django.db import models, transaction

Direction = Literal["up", "down"]


@transaction.atomic
def move(*, among: models.QuerySet[Any], item: models.Model, direction: Direction) -> None:
    """Swap `item` with its neighbour in `among`, and number all of them from 1.

    `among` is the list as it is shown (its order counts). At an end nothing happens.
    """
    rows = list(among.select_for_update())
    at = rows.index(item)
    to = at - 1 if direction == "up" else at + 1
    if 0 <= to < len(rows):
        rows[at], rows[to] = rows[to], rows[at]
    # All are numbered, not only the two: older rows may share a position.
    for position, row in enumerate(rows, start=1):
        row.position = position
    among.model._default_manager.bulk_update(rows, ["position"])


def next_position(among: models.QuerySet[Any]) -> int:
    """The place after the last one."""
    last: int | None = among.aggregate(last=models.Max("position"))["last"]
    return (last or 0) + 1
