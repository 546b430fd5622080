"""Tonight's wishes: what was asked for at one show, and what became of it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from uuid import UUID

from django.core.exceptions import PermissionDenied, ValidationError
from django.db import transaction
from django.db.models import Prefetch, QuerySet
from django.utils.translation import gettext as _

from core.models import Show, User
from notes.models import MixWish, MixWishMark, MonitorMix
from notes.monitors.services import lock

State = MixWishMark.State


@dataclass(frozen=True, slots=True)
class WishNow:
    """A wish with the newest of its marks; None: nobody has marked it."""

    wish: MixWish
    mark: MixWishMark | None

    @property
    def state(self) -> str:
        return self.mark.state if self.mark else str(State.OPEN)

    @property
    def is_open(self) -> bool:
        return self.state == State.OPEN


def wishes_of(show: Show) -> dict[UUID, list[WishNow]]:
    """By mix, in the order in which they came. Two queries."""
    by_mix: dict[UUID, list[WishNow]] = defaultdict(list)
    for each in _with_marks(MixWish.objects.filter(show=show)):
        by_mix[each.wish.mix_id].append(each)
    return by_mix


def open_wishes(shows: Sequence[Show]) -> dict[UUID, list[int]]:
    """For each show how many wishes are open, and how many there are. Two queries."""
    counts: dict[UUID, list[int]] = {show.pk: [0, 0] for show in shows}
    wishes = MixWish.objects.filter(show__in=[show.pk for show in shows], mix__retired_at=None)
    for each in _with_marks(wishes):
        counts[each.wish.show_id][0] += each.is_open
        counts[each.wish.show_id][1] += each.state != State.TAKEN_BACK
    return counts


def _with_marks(wishes: QuerySet[MixWish]) -> list[WishNow]:
    marks = Prefetch("marks", MixWishMark.objects.order_by("at", "pk"))
    rows = [(each, list(each.marks.all())) for each in wishes.prefetch_related(marks)]
    return [WishNow(each, there[-1] if there else None) for each, there in rows]


@transaction.atomic
def wish(mix: MonitorMix, show: Show, words: str, *, by: User) -> MixWish:
    """Raises ValidationError without words, or for a show of another production."""
    held = lock(mix)
    if show.leg.production_id != held.production_id:
        raise ValidationError(_("That show is of another production."))
    made = MixWish(mix=held, show=show, words=words.strip(), by=by, by_name=by.name)
    made.stamp("at")
    made.full_clean()
    made.save(force_insert=True)
    return made


@transaction.atomic
def mark(wish: MixWish, state: str, *, by: User, may_edit: bool) -> MixWishMark | None:
    """Say what became of a wish. What it is already is not said twice.

    `may_edit`: whether `by` may change mixes. Others may take back what they wished themselves.
    """
    # Locked through its mix, since a wish is never written to.
    lock(wish.mix)
    taken_back = state == State.TAKEN_BACK and wish.by_id == by.pk
    if not may_edit and not taken_back:
        raise PermissionDenied(_("Whoever makes the mix says what is done."))
    last = MixWishMark.objects.filter(wish=wish).order_by("at", "pk").last()
    if (last.state if last else State.OPEN) == state:
        return last
    made = MixWishMark(wish=wish, state=State(state), by=by, by_name=by.name)
    made.stamp("at")
    made.save(force_insert=True)
    return made
