"""From when a handover counts changes: since the leg before this one began."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, time
from uuid import UUID

from django.db.models import QuerySet
from django.utils import timezone

from core.models import Leg
from rigs.models import ChangeRow


@dataclass(frozen=True, slots=True)
class Period:
    """`since` is the first moment of the previous leg's first day, in the time zone of the
    settings; without a previous leg it is None and everything after the first documentation of a
    rig counts."""

    leg: Leg
    previous: Leg | None
    since: datetime | None

    def changes(self, rigs: list[UUID]) -> QuerySet[ChangeRow]:
        """The stored changes of `rigs` that fall into it. Writing a rig down first is none."""
        rows = ChangeRow.objects.filter(revision__rig__in=rigs, revision__number__gt=1)
        return rows if self.since is None else rows.filter(revision__at__gte=self.since)

    def covers(self, moment: datetime) -> bool:
        return self.since is None or moment >= self.since


def period_of(leg: Leg) -> Period:
    """One query."""
    earlier = Leg.objects.filter(
        production=leg.production_id, retired_at=None, starts_on__lt=leg.starts_on
    )
    previous = earlier.order_by("-starts_on", "-name").first()
    if previous is None:
        return Period(leg, None, None)
    start = datetime.combine(previous.starts_on, time.min)
    return Period(leg, previous, timezone.make_aware(start))
