"""Which published handover is the newest, of a production and of legs."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from uuid import UUID

from core.models import Leg, Production
from notes.models import PublishedHandover


def last_of(production: Production) -> PublishedHandover | None:
    """The newest published handover of a production, whichever leg it is for."""
    rows = PublishedHandover.objects.filter(production=production).select_related("handover")
    return rows.order_by("-number").first()


def newest_of(leg: Leg, *, by: datetime | None = None) -> PublishedHandover | None:
    """The newest of this leg: the one its crew reads, or the one it read at the moment `by`."""
    rows = PublishedHandover.objects.filter(handover__leg=leg)
    if by is not None:
        rows = rows.filter(published_at__lte=by)
    return rows.order_by("-number").first()


def newest_by_leg(legs: Iterable[Leg]) -> dict[UUID, PublishedHandover]:
    """The newest published handover of each leg, without its content. One query."""
    published = PublishedHandover.objects.filter(handover__leg__in=legs).defer("content")
    rows = published.select_related("handover", "production", "published_by").order_by("number")
    return {row.handover.leg_id: row for row in rows}  # the last of each leg stays
