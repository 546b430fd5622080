"""From when a handover counts changes: since the leg before this one began."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime, time
from uuid import UUID

from django.utils import timezone

from core.models import Leg
from rigs.revisions.many import last_before


@dataclass(frozen=True, slots=True)
class Period:
    """`since` is the first moment of the previous leg's first day, in the time zone of the
    settings; without a previous leg it is None and everything after the first documentation of a
    rig counts."""

    leg: Leg
    previous: Leg | None
    since: datetime | None

    def known(self, rigs: Collection[UUID]) -> dict[UUID, int]:
        """The revision of each rig that changes are counted from. Writing a rig down is none."""
        if self.since is None:
            # Revision 1 wrote the rig down; what came after it is change.
            return dict.fromkeys(rigs, 1)
        return {rig: max(1, last) for rig, last in last_before(rigs, self.since).items()}

    def covers(self, moment: datetime) -> bool:
        return self.since is None or moment >= self.since


def period_of(leg: Leg) -> Period:
    """The period whose changes a handover for `leg` counts. One query."""
    # By dates, not by order of entry: a leg may be written down after the one that follows it.
    earlier = Leg.objects.filter(
        production=leg.production_id, retired_at=None, starts_on__lt=leg.starts_on
    )
    previous = earlier.order_by("-starts_on", "-name").first()
    if previous is None:
        return Period(leg, None, None)
    start = datetime.combine(previous.starts_on, time.min)
    return Period(leg, previous, timezone.make_aware(start))
