"""Put the parts of a rig in order, through the gateway."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.db import models, transaction

from core.services.ordering import Direction
from rigs.changes.edits import Set
from rigs.models import Control, Part, Pin, Rig, Scene, Spare
from rigs.revisions.record import record

if TYPE_CHECKING:
    from core.models import User


def place_of(part: Part) -> tuple[int, int, str, str]:
    """What parts are sorted by; those never put in order go by number and name."""
    return (
        part.position,
        getattr(part, "number", 0) or 0,
        getattr(part, "name", ""),
        str(part.pk),
    )


def in_order(parts: models.QuerySet[Any]) -> list[Any]:
    return sorted(parts, key=place_of)


def siblings(part: Part) -> models.QuerySet[Any]:
    """The parts in use that `part` stands in one list with."""
    rows = type(part).objects.live().filter(rig=part.rig_id)
    if isinstance(part, Control | Scene | Spare):
        return rows.filter(unit=part.unit_id)
    return rows.filter(photo=part.photo_id) if isinstance(part, Pin) else rows


def next_position(part: Part) -> int:
    """The place after the last one, for a part to be added."""
    last: int | None = siblings(part).aggregate(last=models.Max("position"))["last"]
    return 1 if last is None else last + 1


@transaction.atomic
def move(*, rig: Rig, part: Part, direction: Direction, author: User) -> bool:
    """Swap `part` with its neighbour. False at an end, where nothing happens."""
    # Two steps at once would both be counted from one order; the second waits for the first.
    rig = Rig.objects.select_for_update().get(pk=rig.pk)
    rows = in_order(siblings(part))
    at = [row.pk for row in rows].index(part.pk)
    to = at - 1 if direction == "up" else at + 1
    if not 0 <= to < len(rows):
        return False
    rows[at], rows[to] = rows[to], rows[at]
    # All are numbered, since parts that were never put in order share one position.
    edits = [Set(str(r.pk), r.KIND, {"position": n}) for n, r in enumerate(rows, start=1)]
    record(rig, edits, author=author, base=rig.head_number)
    return True
