"""What is due before which show, and the log of what was done. A fixed number of queries."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING
from uuid import UUID

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import F, QuerySet, Window
from django.db.models.functions import RowNumber
from django.utils import timezone, translation
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from core import clock
from core.composed import Composed, Several, column
from core.languages.dates import day
from core.languages.words import leading
from core.models import Production, Show
from rigs.models import Spare, UpkeepEntry
from rigs.models.due import Due, DueState, Last, Per, ShowDay, changes_ahead, next_due
from rigs.wording.parts import interval

if TYPE_CHECKING:
    from core.models import User

# Keys of core.badges.LOOKS.
BADGES = {
    DueState.OVERDUE: "overdue",
    DueState.DUE: "due",
    DueState.NEVER: "never_noted",
    DueState.LATER: "later",
    DueState.BEYOND: "later",
    DueState.HAND: "when_worn",
}
_DUE_WORDS = {
    DueState.DUE: gettext_lazy("due before {show}"),
    DueState.NEVER: gettext_lazy("never noted, so nobody knows how old it is"),
    DueState.LATER: gettext_lazy("next before {show}"),
    DueState.BEYOND: gettext_lazy("not before the last show that is planned"),
    DueState.HAND: gettext_lazy("changed when it is worn"),
}
_ORDER = list(DueState)


def today() -> date:
    """The date of today in the current time zone."""
    return timezone.localdate(clock.now())


@dataclass(frozen=True, slots=True)
class Item:
    """One thing that wears, when it was last done, and by which show it is due."""

    spare: Spare
    due: Due
    show: Show | None = None  # the show of `due`
    last: UpkeepEntry | None = None
    changes: int | None = None  # for the shows that are planned; None where it cannot be told

    @property
    def needed(self) -> int | None:
        """How many are needed for the shows that are planned: all that are in use, each time."""
        return None if self.changes is None else self.changes * self.spare.in_use

    @property
    def short(self) -> int:
        """By how many the spares fall short for those shows; 0 where it is not known."""
        return max(0, (self.needed or 0) - self.spare.carried)

    @property
    def badge(self) -> str:
        return BADGES[self.due.state]

    @property
    def interval(self) -> str:
        return interval(self.spare.every, self.spare.per)

    @property
    def words(self) -> str:
        """When it is due, in words that stand alone."""
        if self.due.state is DueState.OVERDUE:
            return ngettext(
                "overdue by one show: was due before {show}",
                "overdue by {n} shows: was due before {show}",
                self.due.over,
            ).format(n=self.due.over, show=self.show)
        return _DUE_WORDS[self.due.state].format(show=self.show)

    @property
    def in_short(self) -> str:
        """Its interval, when it was last changed, and how many there are."""
        parts = [self.interval]
        if self.last:
            done = _("last {day} by {name}")
            parts.append(done.format(day=day(self.last.done_on), name=self.last.by_name))
        elif self.badge != "never_noted":
            parts.append(_("never noted"))
        if self.needed:
            carried = _("{carried} carried, {needed} needed for the shows that are planned")
        else:
            carried = _("{carried} carried")
        parts.append(carried.format(carried=self.spare.carried, needed=self.needed))
        return _("; ").join(parts)


def shows_of(productions: Iterable[UUID]) -> dict[UUID, list[Show]]:
    """The shows of each production in the order they are played. One query."""
    by_production: dict[UUID, list[Show]] = defaultdict(list)
    for show in _shows_of(productions):
        by_production[show.leg.production_id].append(show)
    return by_production


_shows_of = Composed(
    lambda productions: (
        Show.objects.live()
        .filter(leg__production__pk__among=productions, leg__retired_at=None)
        .select_related("leg")
        .order_by("held_on", "room", "pk")
    ),
    Several(column(Production)),
)


def next_show(shows: Iterable[Show]) -> Show | None:
    """The first show that is not over yet, of shows in order."""
    now = today()
    return next((show for show in shows if show.held_on >= now), None)


def items(spares: Iterable[Spare], shows: dict[UUID, list[Show]]) -> list[Item]:
    """Each of the spares with when it is due, what waits longest first. One query, and that of the
    spares, which `for_items` has prepared."""
    rows = list(spares)
    last = _last([row.pk for row in rows])
    made = [_item(row, last.get(row.pk), shows.get(row.rig.production_id, [])) for row in rows]
    # Sorting is stable: within a state the order of players, rigs and units stays.
    return sorted(made, key=lambda item: (_ORDER.index(item.due.state), -item.due.over))


def for_items(spares: QuerySet[Spare]) -> QuerySet[Spare]:
    """`spares` with all that an item of each shows."""
    return spares.select_related("unit", "rig__player")


def live_spares(productions: Iterable[UUID]) -> list[Spare]:
    """The spares of the rigs in use, in the order of players, rigs and units. One query."""
    return _live_spares(productions)


_live_spares = Composed(
    lambda productions: (
        for_items(Spare.objects.live())
        .filter(rig__production__pk__among=productions, rig__retired=False)
        .order_by(
            "rig__player__position", "rig__name", "rig", "unit__position", "unit", "position", "pk"
        )
    ),
    Several(column(Production)),
)


def _last(spares: list[UUID]) -> dict[UUID, UpkeepEntry]:
    return {entry.spare_id: entry for entry in _newest(spares)} if spares else {}


def _newest_of(spares: Sequence[UUID]) -> QuerySet[UpkeepEntry]:
    # The newest entry of each in one query; SQLite knows no DISTINCT ON.
    newest = Window(
        RowNumber(),
        partition_by=[F("spare_id")],
        order_by=[F("done_on").desc(), F("at").desc(), F("pk").desc()],
    )
    rows = valid_entries().filter(spare__pk__among=spares).annotate(nth=newest).filter(nth=1)
    return rows.select_related("show").order_by()


_newest = Composed(_newest_of, Several(column(Spare)))


def valid_entries() -> QuerySet[UpkeepEntry]:
    """The entries of what was done and has not been taken back."""
    return UpkeepEntry.objects.filter(takes_back=None, taken_back=None)


def _item(spare: Spare, entry: UpkeepEntry | None, shows: list[Show]) -> Item:
    last = Last(entry.done_on, entry.show_id) if entry else None
    days = [ShowDay(show.pk, show.held_on) for show in shows]
    due = next_due(spare.every, Per(spare.per), last, days, today())
    by_id = {show.pk: show for show in shows}
    changes = changes_ahead(spare.every, Per(spare.per), last, days, today())
    return Item(spare, due, by_id[due.show.id] if due.show else None, entry, changes)


@transaction.atomic
def note_done(
    *,
    spare: Spare,
    by: User,
    done_on: date | None = None,
    show: Show | None = None,
    words: str = "",
) -> UpkeepEntry:
    """Note that it was changed; today where no day is given.

    Noting the same thing twice on one day for one show writes it once, as when a button is pressed
    twice. Raises
    ValidationError for a day to come, a show before that day, or a spare that is retired.
    """
    done_on = done_on or today()
    if done_on > today():
        raise ValidationError({"done_on": _("That day is still to come.")})
    if show is not None and show.held_on < done_on:
        raise ValidationError({"show": _("That show was over by then.")})
    if spare.retired:
        raise ValidationError(_("“{name}” is retired. Restore it first.").format(name=spare))
    # Locked, so that the second of two presses waits and finds what the first one wrote.
    Spare.objects.select_for_update().get(pk=spare.pk)
    # What is changed on the day of a show is taken to be for that show.
    show = show or _show_on(spare, done_on)
    same = valid_entries().filter(spare=spare, done_on=done_on, show=show, words=words).first()
    if same is not None:
        return same
    return UpkeepEntry.objects.create(
        rig_id=spare.rig_id,
        spare=spare,
        # Written down: the spare may be renamed later, and the log says what it was then.
        said_of=_said_of(spare),
        show=show,
        done_on=done_on,
        words=words,
        by=by,
        by_name=by.name,
    )


def _said_of(spare: Spare) -> str:
    # Kept, so not in the language of whoever notes it.
    with translation.override(settings.LANGUAGE_CODE):
        return leading(spare.get_sort_display(), spare)


def _show_on(spare: Spare, held_on: date) -> Show | None:
    rows = Show.objects.live().filter(leg__production=spare.rig.production_id, held_on=held_on)
    return rows.filter(leg__retired_at=None).order_by("room", "pk").first()


@transaction.atomic
def take_back(*, entry: UpkeepEntry, by: User) -> UpkeepEntry:
    """Say that `entry` was noted by mistake; it stays to be read.

    Raises ValidationError where it has been taken back already.
    """
    # The same lock as above: two people cannot take back one entry side by side.
    spare = Spare.objects.select_for_update().get(pk=entry.spare_id)
    if entry.takes_back_id or UpkeepEntry.objects.filter(takes_back=entry).exists():
        raise ValidationError(_("That has been taken back already."))
    return UpkeepEntry.objects.create(
        rig_id=spare.rig_id,
        spare=spare,
        said_of=entry.said_of,
        done_on=entry.done_on,
        show=entry.show,
        takes_back=entry,
        by=by,
        by_name=by.name,
    )
