"""Where a blind trial stands for one reader: whoever still listens must not be swayed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from uuid import UUID

from django.db.models import Count, F, Q, QuerySet

from core.models import User
from notes.blind.services import result_of
from notes.listening.blind import Result
from notes.models import BlindSitting, BlindTrial


@dataclass(frozen=True, slots=True)
class Standing:
    """`mine` is the reader's sitting; `done` holds results by sitting, of those who finished."""

    sittings: list[BlindSitting]
    mine: BlindSitting | None
    done: Mapping[UUID, Result]
    closed: bool

    @property
    def mine_done(self) -> bool:
        return self.mine is not None and self.mine.pk in self.done

    @property
    def shown(self) -> bool:
        """Results are shown to whoever is done, and to all once it is closed."""
        return self.closed or self.mine_done

    def result_of(self, sitting: BlindSitting) -> Result | None:
        return self.done.get(sitting.pk) if self.shown else None


def to_hear_blind(user: User, places: Iterable[UUID]) -> QuerySet[BlindTrial]:
    """Open blind trials of these productions that the user has not heard to the end. One query."""
    given = Count("sittings__answers", filter=Q(sittings__user=user.pk))
    found = BlindTrial.objects.filter(production__in=list(places), closed_at=None)
    return found.annotate(given=given).filter(given__lt=F("rounds")).select_related("trial__input")


def standing(blind: BlindTrial, user: User) -> Standing:
    """Two queries; none where sittings with users and answers were fetched before."""
    fetched = "sittings" in getattr(blind, "_prefetched_objects_cache", {})
    rows = blind.sittings.all()
    rows = rows if fetched else rows.select_related("user").prefetch_related("answers")
    sittings = list(rows)
    for sitting in sittings:
        sitting.blind = blind
    mine = next((each for each in sittings if each.user_id == user.pk), None)
    done = {each.pk: result for each in sittings if (result := result_of(each)) is not None}
    return Standing(sittings, mine, done, not blind.is_open)
