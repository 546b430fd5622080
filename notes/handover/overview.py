"""All legs with the state of their handovers, in five queries."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass
from uuid import UUID

from core.models import Leg, Production, User
from notes.models import Acknowledgement, Handover, Question


@dataclass(frozen=True, slots=True)
class Row:
    """How far the reading of one leg's handover has come."""

    leg: Leg
    handover: Handover | None
    sections: int
    mine: int  # sections that the reader of the list has read
    readers: int  # members who have read all of it
    members: int
    unanswered: int

    @property
    def is_read(self) -> bool:
        return self.mine == self.sections


def overview(production: Production, reader: User) -> list[Row]:
    """Legs in use, the newest first."""
    legs = production.legs.filter(retired_at=None).select_related("handover")
    players = set(production.players.filter(retired_at=None).values_list("pk", flat=True))
    members = set(production.memberships.order_by().values_list("user", flat=True))
    read, waiting = _read(production, {None, *players}), _waiting(production)
    rows = []
    for leg in legs.order_by("-starts_on", "name"):
        by_user = read[leg.pk]
        sections = len(players) + 1
        done = sum(1 for user in members if by_user[user] == sections)
        rows.append(Row(
            leg, getattr(leg, "handover", None), sections, by_user[reader.pk], done, len(members),
            waiting[leg.pk],
        ))  # fmt: skip
    return rows


def _read(production: Production, sections: set[UUID | None]) -> dict[UUID, Counter[UUID]]:
    """By leg and user, how many of `sections` were read."""
    found: dict[UUID, Counter[UUID]] = defaultdict(Counter)
    rows = Acknowledgement.objects.filter(handover__leg__production=production)
    for leg, user, player in rows.order_by().values_list("handover__leg", "user", "player"):
        if player in sections:
            found[leg][user] += 1
    return found


def _waiting(production: Production) -> Counter[UUID]:
    """By leg, how many questions nobody has answered."""
    rows = Question.objects.filter(handover__leg__production=production, answers=None)
    return Counter(rows.order_by().values_list("handover__leg", flat=True))
