"""Which rigs play at a show: the usual ones, unless somebody said otherwise for that show."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import NamedTuple
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.composed import Composed, Several, column
from core.models import Player, Production, Show, User
from core.moments import written
from rigs.models import Rig, ShowRig
from rigs.models.rigs import VARIANTS_IN_ORDER

# A player without a main rig plays the fly rig, and without that the spare; nobody takes a
# rehearsal rig on the road unless it is said (common practice, no source).
USUAL_ORDER = (Rig.Variant.MAIN, Rig.Variant.FLY, Rig.Variant.SPARE)
RETIRED_SHOW = gettext_lazy("This show is retired. Restore it before changing what plays at it.")


class AtShow(NamedTuple):
    """A rig in use, and whether it plays at the show."""

    rig: Rig
    plays: bool
    is_usual: bool

    @property
    def differs(self) -> bool:
        return self.plays != self.is_usual

    @property
    def described(self) -> str:
        said = _("{rig} plays") if self.plays else _("{rig} stays out")
        return said.format(rig=self.rig)


def usual(rigs: Iterable[Rig]) -> set[UUID]:
    """The ids of the rigs that play where nobody said otherwise. Pure.

    Of each player these are the rigs of the first variant in USUAL_ORDER that there is. A guest
    plays only where somebody said so. The rigs have their players at hand.
    """
    by_player: dict[UUID, list[Rig]] = defaultdict(list)
    for rig in rigs:
        if not rig.player.guest:
            by_player[rig.player_id].append(rig)
    result: set[UUID] = set()
    for own in by_player.values():
        variants = {rig.variant for rig in own}
        first = next((variant for variant in USUAL_ORDER if variant in variants), None)
        result |= {rig.pk for rig in own if rig.variant == first}
    return result


def rigs_at(show: Show) -> list[AtShow]:
    """Every rig in use, and whether it plays at `show`, by player. Two queries.

    `show.leg` must be at hand.
    """
    return rigs_at_each([show])[show.pk]


def rigs_at_each(shows: Sequence[Show]) -> dict[UUID, list[AtShow]]:
    """Every rig in use with whether it plays, by show. Two queries, however many shows.

    The shows are of one production and have their leg at hand.
    """
    if not shows:
        return {}
    rigs = _in_use(shows[0])
    as_ever = usual(rigs)
    said: dict[UUID, dict[UUID, bool]] = defaultdict(dict)
    for row in _said_of([show.pk for show in shows]):
        said[row.show_id][row.rig_id] = row.plays
    return {
        show.pk: [
            AtShow(rig, said[show.pk].get(rig.pk, rig.pk in as_ever), rig.pk in as_ever)
            for rig in rigs
        ]
        for show in shows
    }


_said_of = Composed(
    lambda shows: ShowRig.objects.filter(show__pk__among=shows), Several(column(Show))
)


def played_at(shows: Sequence[Show]) -> dict[UUID, set[UUID]]:
    """The ids of the rigs that play, by show. Queries and shows as for `rigs_at_each`."""
    return {
        show: {each.rig.pk for each in rigs if each.plays}
        for show, rigs in rigs_at_each(shows).items()
    }


def played_of_production(production: Production) -> list[Rig]:
    """The rigs that usually play, with their players. One query."""
    rigs = Rig.objects.filter(production=production, retired=False).select_related("player")
    as_ever = usual(rigs)
    return [rig for rig in rigs if rig.pk in as_ever]


def _in_use(show: Show) -> list[Rig]:
    return _rigs_in_use(show.leg.production_id)


_rigs_in_use = Composed(
    lambda production: (
        Rig.objects.filter(production=production, retired=False)
        .select_related("player")
        .order_by("player__position", "player", VARIANTS_IN_ORDER, "name", "pk")
    ),
    column(Production),
)


def by_player(rigs: Iterable[AtShow]) -> list[tuple[Player, list[AtShow]]]:
    """The rigs grouped by player, both in the order given."""
    groups: dict[Player, list[AtShow]] = {}
    for each in rigs:
        groups.setdefault(each.rig.player, []).append(each)
    return list(groups.items())


def shows_after(show: Show) -> list[Show]:
    """The later shows of the same leg."""
    later = show.leg.shows.filter(retired_at=None, held_on__gte=show.held_on).exclude(pk=show.pk)
    return list(later.order_by("held_on", "pk"))


@transaction.atomic
def choose(
    show: Show,
    *,
    shown: Mapping[UUID, bool],
    playing: Collection[UUID],
    by: User,
    later_too: bool = False,
) -> list[str]:
    """Set which of the rigs that the page showed play at `show`.

    `playing` are the ids of those that are to play, and `shown` says which played when the page was
    made. Where somebody left a rig as it was shown, it stays as others may have set it meanwhile.
    With `later_too` the same rigs play at the later shows of the leg. Returns the names of the rigs
    that changed at `show`. Raises ValidationError for a retired show. One transaction.
    """
    # Only the show is locked: its leg is read along, and others may be writing on that.
    held = Show.objects.select_for_update(of=("self",)).select_related("leg").get(pk=show.pk)
    if held.is_retired:
        raise ValidationError(RETIRED_SHOW)
    turned = {rig: rig in playing for rig, played in shown.items() if played != (rig in playing)}
    changed = _set_plays(held, turned, by)
    for later in shows_after(held) if later_too else ():
        # All that was shown and not only what was turned: the same rigs are to play there.
        _set_plays(later, {rig: rig in playing for rig in shown}, by)
    return changed


def _set_plays(show: Show, playing: Mapping[UUID, bool], by: User) -> list[str]:
    changed = [each for each in rigs_at(show) if playing.get(each.rig.pk, each.plays) != each.plays]
    for each in changed:
        _set_rig_plays(show, each, playing[each.rig.pk], by)
    return [each.rig.name for each in changed]


def _set_rig_plays(show: Show, each: AtShow, plays: bool, by: User) -> None:
    """Write the row of a rig at a show, or delete it where the rig plays as usual."""
    if plays == each.is_usual:
        ShowRig.objects.filter(show=show, rig=each.rig).delete()
        return
    values = {"plays": plays, "by": by, "by_name": by.name, **written().values("at")}
    ShowRig.objects.update_or_create(show=show, rig=each.rig, defaults=values)
