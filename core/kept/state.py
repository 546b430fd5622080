"""Where a production stands, in one query: what was written in it last, and who was forgotten."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Any, NamedTuple
from uuid import UUID

from django.db.models import Count, Max, OuterRef, QuerySet, Subquery

from core import clock
from core.composed import Composed, Several, column
from core.models import LogEntry, Production, Removal
from core.personal.opening import REMEMBERED_S


class State(NamedTuple):
    """`entries` is the id of the newest entry of its log, which hears of all that people write, but
    for those of tables that were left out."""

    entries: int
    forgotten: int
    removed_at: datetime | None

    @property
    def is_just_forgotten(self) -> bool:
        """Whether this process may still remember words that were removed by another one."""
        # Twice as long, since two hosts need not agree on the time.
        while_remembered = timedelta(seconds=2 * REMEMBERED_S)
        return self.removed_at is not None and clock.now() < self.removed_at + while_remembered


_removals = Removal.objects.filter(production=OuterRef("pk")).order_by().values("production")


def _newest(production: Any, without: Any) -> QuerySet[LogEntry]:
    rows = LogEntry.objects.filter(production=production).exclude(table__among=without)
    return rows.order_by("-pk")


_state: Composed[Production] = Composed(
    lambda production, without: Production.objects.filter(pk=production).annotate(
        entries=Subquery(_newest(OuterRef("pk"), without).values("pk")[:1]),
        forgotten=Subquery(_removals.annotate(n=Count("pk")).values("n")),
        removed_at=Subquery(_removals.annotate(at_last=Max("at")).values("at_last")),
    ),
    column(Production),
    Several(column(LogEntry, "table")),
)


def state_of(production: UUID, without: Sequence[str] = ()) -> State:
    """One query. What is written in the tables `without` leaves the state as it is."""
    (row,) = _state(production, without) or (None,)
    found = [getattr(row, name, None) for name in State._fields]
    return State(found[0] or 0, found[1] or 0, found[2])
