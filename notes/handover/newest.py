"""Which published handover is the newest, of a production and of legs."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from uuid import UUID

from core.composed import Composed, Several, column
from core.models import Leg, Production
from notes.models import PublishedHandover


def last_of(production: Production) -> PublishedHandover | None:
    """The newest published handover of a production, whichever leg it is for."""
    rows = PublishedHandover.objects.filter(production=production).select_related("handover")
    return rows.order_by("-number").first()


def newest_of(leg: Leg, *, by: datetime | None = None) -> PublishedHandover | None:
    """The newest of this leg: the one its crew reads, or the one it read at the moment `by`."""
    # It is named more often than read.
    rows = PublishedHandover.objects.filter(handover__leg=leg).defer("content")
    if by is not None:
        rows = rows.filter(published_at__lte=by)
    return rows.order_by("-number").first()


def newest_by_leg(legs: Iterable[Leg]) -> dict[UUID, PublishedHandover]:
    """The newest published handover of each leg, without its content. One query."""
    return {leg: rows[-1] for leg, rows in published_by_leg(legs).items()}


def published_by_leg(legs: Iterable[Leg]) -> dict[UUID, list[PublishedHandover]]:
    """What was published of each leg, without the content, the newest last. One query."""
    by_leg: dict[UUID, list[PublishedHandover]] = {}
    keys = [leg.pk for leg in legs]
    for row in _published(keys) if keys else ():
        by_leg.setdefault(row.handover.leg_id, []).append(row)
    return by_leg


_published = Composed(
    lambda legs: (
        PublishedHandover.objects.filter(handover__leg__pk__among=legs)
        .defer("content")
        .select_related("handover", "production", "published_by")
        .order_by("number")
    ),
    Several(column(Leg)),
)
