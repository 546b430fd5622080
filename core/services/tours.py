"""Where the tour is on a given day."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from core.composed import Composed, column
from core.models import Leg, Production, Show


class Whereabouts(NamedTuple):
    """The leg that runs, else the next one; and the next show of any leg."""

    leg: Leg | None
    leg_runs: bool
    show: Show | None


def whereabouts(*, production: Production, on: date) -> Whereabouts:
    """Where the tour is on that day, in two queries. Retired legs and shows do not count."""
    leg = next(iter(_legs(production.pk, on)), None)
    show = next(iter(_shows(production.pk, on)), None)
    return Whereabouts(leg, bool(leg and leg.starts_on <= on), show)


# A leg that runs starts before any that is to come.
_legs = Composed(
    lambda production, on: (
        Leg.objects.live()
        .filter(production=production, ends_on__gte=on)
        .order_by("starts_on", "pk")[:1]
    ),
    column(Production),
    column(Leg, "ends_on"),
)
_shows = Composed(
    lambda production, on: (
        Show.objects.live()
        .filter(leg__production=production, leg__retired_at=None, held_on__gte=on)
        .select_related("leg__production")
        .order_by("held_on", "room", "pk")[:1]
    ),
    column(Production),
    column(Show, "held_on"),
)
