"""Who plays at a show: each player with their rigs, and who deps for whom. Everybody asks here."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.composed import Composed, Several, column
from core.languages.words import leading
from core.models import Leg, Player, Production, Show, User
from rigs.lists.state import ListState, state_of
from rigs.models import Rig, ShowDep
from rigs.shows.rigs import AtShow, rigs_at_each

RETIRED_SHOW = gettext_lazy("This show is retired. Restore it before changing who plays at it.")
NOBODY = gettext_lazy("Write who plays.")
CHANGED = gettext_lazy(
    "Someone else changed this meanwhile. Compare with what is there now, then save again."
)


@dataclass(frozen=True, slots=True)
class PlayerAtShow:
    """A player in use; `noted` is the dep that holds at the show, whether the player plays there
    or not."""

    player: Player
    rigs: tuple[AtShow, ...] = ()
    noted: ShowDep | None = None

    @property
    def plays(self) -> bool:
        """A player without a rig, such as a singer, plays unless they are a guest."""
        return any(each.plays for each in self.rigs) if self.rigs else not self.player.guest

    @property
    def dep(self) -> ShowDep | None:
        return self.noted if self.plays and self.noted is not None and self.noted.who else None

    @property
    def name(self) -> str:
        """“X for Y” where somebody deps, else the player's name."""
        return str(self.dep or self.player)

    @property
    def said(self) -> str:
        """The name with what differs for the dep; of a guest, that it is one."""
        if self.dep is not None:
            return leading(self.name, self.dep.differs)
        return (
            _("{name}, guest").format(name=self.player) if self.player.guest else str(self.player)
        )


@dataclass(frozen=True, slots=True)
class WhoPlays:
    """All players in use, in the order of the stage, as they are at one show."""

    show: Show
    players: tuple[PlayerAtShow, ...]

    def of(self, player: Player) -> PlayerAtShow:
        found = (each for each in self.players if each.player.pk == player.pk)
        return next(found, PlayerAtShow(player))

    def name_of(self, player: Player) -> str:
        return self.of(player).name

    @property
    def rigs(self) -> set[UUID]:
        """The ids of the rigs that play."""
        return {rig.rig.pk for each in self.players for rig in each.rigs if rig.plays}

    @property
    def rigs_in_order(self) -> list[Rig]:
        """The rigs that play, by player and variant."""
        return [rig.rig for each in self.players for rig in each.rigs if rig.plays]

    @property
    def dep_names(self) -> dict[UUID, str]:
        """“X for Y” by the id of the player for whom somebody deps."""
        return {each.player.pk: each.name for each in self.deps}

    def only(self, player: Player | None) -> WhoPlays:
        """What concerns one player; all of it for None."""
        if player is None:
            return self
        return WhoPlays(self.show, tuple(e for e in self.players if e.player.pk == player.pk))

    @property
    def deps(self) -> tuple[PlayerAtShow, ...]:
        return tuple(each for each in self.players if each.dep is not None)

    @property
    def guests(self) -> tuple[PlayerAtShow, ...]:
        """The guests who play, themselves or through a dep."""
        return tuple(each for each in self.players if each.player.guest and each.plays)

    @property
    def unusual_rigs(self) -> tuple[AtShow, ...]:
        """Rigs that play though they usually do not, or the other way round."""
        return tuple(rig for each in self.players for rig in each.rigs if rig.differs)

    @property
    def said(self) -> list[str]:
        """The deps and guests who play, each with what differs."""
        return [each.said for each in self.players if each.dep or each in self.guests]

    @property
    def sentences(self) -> list[str]:
        """What a list of the show says above all: deps, guests, and rigs other than usual."""
        return [*self.said, *(each.described for each in self.unusual_rigs)]

    @property
    def in_the_past(self) -> list[str]:
        """The same, as a report says it."""
        played, stayed = _("{rig} played"), _("{rig} stayed out")
        rigs = self.unusual_rigs
        return [*self.said, *((played if e.plays else stayed).format(rig=e.rig) for e in rigs)]


def name_at(rig: Rig, who: WhoPlays | None) -> str:
    """“X for Y” where somebody deps for the player of `rig`, else the player's name."""
    return who.name_of(rig.player) if who else str(rig.player)


def who_plays(show: Show) -> WhoPlays:
    """Four queries, however many players; `show.leg` must be at hand."""
    return who_plays_at([show])[show.pk]


def who_plays_at(shows: Sequence[Show]) -> dict[UUID, WhoPlays]:
    """Who plays, by show. Four queries, however many shows.

    The shows are of one production and have their leg at hand.
    """
    if not shows:
        return {}
    deps, rigs = deps_at(shows), rigs_at_each(shows)
    players = _players(shows[0].leg.production_id)
    live = {player.pk for player in players}
    # A rig in use plays, though its player may be retired.
    gone = {e.rig.player for e in rigs[shows[0].pk] if e.rig.player_id not in live}
    everybody = [*players, *sorted(gone, key=lambda player: (player.position, player.name))]
    return {show.pk: _at(show, everybody, rigs[show.pk], deps[show.pk]) for show in shows}


_players = Composed(
    lambda production: Player.objects.live().filter(production=production), column(Production)
)


def who_of_leg(leg: Leg) -> dict[UUID, WhoPlays]:
    """Who plays at each show of a leg that is not retired. Four queries the first time; the leg, as
    it was read for this page, keeps the answer for the other parts of it."""
    kept: dict[UUID, WhoPlays] | None = leg.__dict__.get(_KEPT)
    if kept is None:
        shows = [show for show in leg.shows.all() if not show.is_retired]
        for show in shows:
            show.leg = leg
        kept = leg.__dict__[_KEPT] = who_plays_at(shows)
    return kept


_KEPT = "_who_plays"


def _at(
    show: Show, players: Sequence[Player], rigs: Sequence[AtShow], deps: Mapping[UUID, ShowDep]
) -> WhoPlays:
    own: dict[UUID, list[AtShow]] = defaultdict(list)
    for each in rigs:
        own[each.rig.player_id].append(each)
    rows = (PlayerAtShow(p, tuple(own.get(p.pk, ())), deps.get(p.pk)) for p in players)
    return WhoPlays(show, tuple(rows))


def state_of_show(
    show: Show, variants: Sequence[str] = (), who: WhoPlays | None = None
) -> ListState:
    """What the lists of `show` are made from: the rigs that play, unless `variants` are asked for.
    Five queries, and those of `who_plays` where it is not passed in."""
    who = who or who_plays(show)
    deps = [each.noted for each in who.players if each.noted is not None]
    return state_of(show.leg.production, variants, show, None if variants else who.rigs, deps)


def deps_at(shows: Sequence[Show]) -> dict[UUID, dict[UUID, ShowDep]]:
    """The dep that holds for each player, by show and player. One query, however many shows.

    Of those that hold at a show the one that began last counts. Whether the player plays there is
    not looked at.
    """
    legs = {show.leg_id for show in shows}
    in_order = sorted(_deps(legs), key=lambda row: _order(row.show)) if legs else []
    return {
        show.pk: {row.player_id: row for row in in_order if _holds(row, show)} for show in shows
    }


_deps = Composed(
    lambda legs: ShowDep.objects.filter(show__leg__pk__among=legs).select_related(
        "show", "player", "stands_in"
    ),
    Several(column(Leg)),
)


def dep_names(show: Show) -> dict[UUID, str]:
    """“X for Y” by the id of the player for whom somebody deps. One query."""
    return {pk: str(dep) for pk, dep in deps_at([show])[show.pk].items() if dep.who}


def _order(show: Show) -> tuple[object, UUID]:
    return (show.held_on, show.pk)


def _holds(row: ShowDep, show: Show) -> bool:
    if row.show_id == show.pk:
        return True
    of_leg = row.to_leg_end and row.show.leg_id == show.leg_id
    return of_leg and _order(row.show) < _order(show)


class DepChanged(ValidationError):
    """Somebody else changed it since the page was made; `there` is the row now, if there is one."""

    def __init__(self, there: ShowDep | None) -> None:
        super().__init__(CHANGED)
        self.there = there


@transaction.atomic
def set_dep(
    show: Show,
    player: Player,
    *,
    name: str,
    differs: str = "",
    to_leg_end: bool = False,
    version: int,
    by: User,
) -> ShowDep | None:
    """Write who plays for `player` from `show` on; None where nothing is to be said any more.

    An empty name takes back what was said at this show, or says that the player plays themselves
    where a dep of an earlier show would still play. `version` is that of the row which the page
    showed, 0 for none. Raises DepChanged, and ValidationError keyed by field. One transaction.
    """
    held = Show.objects.select_for_update(of=("self",)).select_related("leg").get(pk=show.pk)
    stored = ShowDep.objects.filter(show=held, player=player).first()
    if (stored.version if stored else 0) != version:
        raise DepChanged(stored)
    name = " ".join(name.split())
    _check(held, player, name)
    earlier = _earlier(held, player)
    if not name and stored is None and earlier is None:
        raise ValidationError({"name": NOBODY})
    if not name and earlier is None:
        assert stored is not None  # noqa: S101 - the line above
        stored.delete()
        return None
    row = stored or ShowDep(show=held, player=player, version=0)
    row.name, row.stands_in = name, _player_called(name, player)
    row.differs, row.to_leg_end = (differs.strip() if name else ""), to_leg_end
    row.by, row.by_name, row.version = by, by.name, row.version + 1
    row.stamp("at")
    row.full_clean()
    row.save()
    return row


def _check(show: Show, player: Player, name: str) -> None:
    """Raise ValidationError where nobody can play for `player` at `show`."""
    if show.is_retired:
        raise ValidationError(RETIRED_SHOW)
    if player.production_id != show.leg.production_id or player.is_retired:
        raise ValidationError(
            _("{player} is not among the players, so nobody can dep for them.").format(
                player=player
            )
        )
    if name and not who_plays(show).of(player).plays:
        raise ValidationError(
            _(
                "{player} does not play at this show, so nobody can dep for them. Tick a "
                "rig of theirs first, under Which rigs play."
            ).format(player=player)
        )
    if name.casefold() == player.name.casefold():
        raise ValidationError(
            {"name": _("{player} cannot dep for themselves.").format(player=player)}
        )


def _earlier(show: Show, player: Player) -> ShowDep | None:
    """The dep of an earlier show that would play at `show` if nothing were said there."""
    rows = ShowDep.objects.filter(show__leg=show.leg_id, player=player).exclude(show=show)
    holding = [row for row in rows.select_related("show", "stands_in") if _holds(row, show)]
    last = max(holding, key=lambda row: _order(row.show), default=None)
    return last if last is not None and last.who else None


def _player_called(name: str, besides: Player) -> Player | None:
    others = Player.objects.filter(production=besides.production_id, name__iexact=name)
    found: Player | None = others.exclude(pk=besides.pk).first() if name else None
    return found
