"""All legs with the state of their handovers, in at most eight queries."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from uuid import UUID

from core.models import Leg, Production, User
from notes.handover.newest import newest_by_leg
from notes.handover.progress import Readings, parts_of
from notes.models import Acknowledgement, Handover, PublishedHandover, Question


@dataclass(frozen=True, slots=True)
class LegProgress:
    """How far the reading of one leg's handover has come."""

    leg: Leg
    handover: Handover | None
    published: PublishedHandover | None  # the newest
    sections: int
    mine: int  # sections that the reader of the list has read
    readers: int  # members who have read all of it
    members: int
    unanswered: int

    @property
    def is_read(self) -> bool:
        return self.mine == self.sections


def overview(production: Production, reader: User) -> list[LegProgress]:
    """Legs in use, the newest first. Once one is published, what counts is the reading of that."""
    legs = list(
        production.legs.filter(retired_at=None)
        .select_related("handover")
        .order_by("-starts_on", "name")
    )
    players = set(production.players.filter(retired_at=None).values_list("pk", flat=True))
    members = set(production.memberships.order_by().values_list("user", flat=True))
    newest, waiting = newest_by_leg(legs), _waiting(production)
    # None stands for the general part.
    read, published_read = _read(production, {None, *players}), _read_published(newest, members)
    rows = []
    for leg in legs:
        published = newest.get(leg.pk)
        sections = len(published.sections) if published else len(players) + 1
        by_user = published_read[leg.pk] if published else read[leg.pk]
        done = sum(1 for user in members if by_user[user] == sections)
        rows.append(
            LegProgress(
                leg,
                getattr(leg, "handover", None),
                published,
                sections,
                by_user[reader.pk],
                done,
                len(members),
                waiting[leg.pk],
            )
        )
    return rows


ByUser = dict[UUID, Counter[UUID]]  # by leg and user, how many sections were read


def _read(production: Production, sections: set[UUID | None]) -> ByUser:
    """How many of `sections` each user has read in the working copy of each leg. One query."""
    counts: ByUser = defaultdict(Counter)
    rows = Acknowledgement.objects.filter(handover__leg__production=production)
    for leg, user, player in rows.order_by().values_list("handover__leg", "user", "player"):
        if player in sections:
            counts[leg][user] += 1
    return counts


def _read_published(newest: Mapping[UUID, PublishedHandover], members: set[UUID]) -> ByUser:
    """How many sections each member has read of what is published, as it is now. Two queries; none
    where nothing is published."""
    counts: ByUser = defaultdict(Counter)
    readings = Readings(newest.values()) if newest else None
    for leg, published in newest.items():
        for part in parts_of(published):
            for user in members:
                counts[leg][user] += bool(readings and readings.cell(published, user, part).is_read)
    return counts


def _waiting(production: Production) -> Counter[UUID]:
    """How many questions nobody has answered, by leg. One query."""
    rows = Question.objects.filter(handover__leg__production=production, answers=None)
    return Counter(rows.order_by().values_list("handover__leg", flat=True))
