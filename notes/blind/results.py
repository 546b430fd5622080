"""Where a blind trial stands for one reader: whoever still listens must not be swayed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from uuid import UUID

from django.db.models import Count, F, Q, QuerySet

from core.composed import Composed, Several, column
from core.models import Production, User
from notes.blind.services import judged, result_of
from notes.listening.blind import Judged, Judgement, Result
from notes.models import BlindSitting, BlindTrial


@dataclass(frozen=True, slots=True)
class BlindResults:
    """`mine` is the reader's sitting; `done` holds results by sitting, of those who finished.

    Until the trial is settled a reader sees how far each has come and, once they have finished,
    their own count. Whoever saw more could close the trial at a moment of luck.
    """

    blind: BlindTrial
    sittings: list[BlindSitting]
    mine: BlindSitting | None
    done: Mapping[UUID, Result]

    @property
    def settled(self) -> bool:
        """Nothing can be added any more: it is closed, or all have listened who were to."""
        return not self.blind.is_open or len(self.done) == self.blind.listeners

    @property
    def mine_done(self) -> bool:
        return self.mine is not None and self.mine.pk in self.done

    @property
    def my_result(self) -> Result | None:
        return self.done.get(self.mine.pk) if self.mine else None

    @property
    def places_left(self) -> int | None:
        """How many more may begin; None where it was not fixed how many listen."""
        if self.blind.listeners is None:
            return None
        return self.blind.listeners - len(self.sittings)

    @property
    def may_begin(self) -> bool:
        return self.blind.is_open and self.mine is None and self.places_left != 0

    @property
    def judgement(self) -> Judgement | None:
        """The judgement of all results; None until the trial is settled."""
        if not self.settled:
            return None
        return judged(self.blind, list(self.done.values()), len(self.sittings))

    def judged_by_sitting(self) -> dict[UUID, Judged]:
        """The judged result of each sitting, by its id; empty until the trial is settled."""
        judgement = self.judgement
        return dict(zip(self.done, judgement.each, strict=True)) if judgement else {}


def to_hear_blind(user: User, places: Iterable[UUID]) -> list[BlindTrial]:
    """Open blind trials of these productions that the user may still hear to the end. One query."""
    return _to_hear(user.pk, places)


def _waiting(user: UUID, places: Iterable[UUID]) -> QuerySet[BlindTrial]:
    given = Count("sittings__answers", filter=Q(sittings__user=user))
    mine = Count("sittings", filter=Q(sittings__user=user), distinct=True)
    in_places = BlindTrial.objects.filter(production__pk__among=places, closed_at=None)
    blind_trials = in_places.annotate(
        given=given, mine=mine, begun=Count("sittings", distinct=True)
    )
    place_left = Q(mine__gt=0) | Q(listeners=None) | Q(begun__lt=F("listeners"))
    return blind_trials.filter(place_left, given__lt=F("rounds")).select_related("trial__input")


_to_hear = Composed(_waiting, column(User), Several(column(Production)))


def results_of(blind: BlindTrial, user: User) -> BlindResults:
    """The results as `user` may see them.

    Two queries; none where sittings with users and answers were fetched before.
    """
    fetched = "sittings" in getattr(blind, "_prefetched_objects_cache", {})
    rows = blind.sittings.all()
    rows = rows if fetched else rows.select_related("user", "player").prefetch_related("answers")
    sittings = list(rows)
    for sitting in sittings:
        # Set by hand, so that no sitting has to look its trial up.
        sitting.blind = blind
    mine = next((each for each in sittings if each.user_id == user.pk), None)
    done = {each.pk: result for each in sittings if (result := result_of(each)) is not None}
    return BlindResults(blind, sittings, mine, done)
