"""What songs change, across the rigs of a production."""

from __future__ import annotations

from typing import NamedTuple

from core.models import Production, Show, Song
from rigs.changes.edits import Snapshot
from rigs.models import Rig
from rigs.models.rigs import VARIANTS_IN_ORDER
from rigs.revisions.many import states_of
from rigs.tonight.at_show import UnitTonight, units_in
from rigs.tonight.layers import laid
from rigs.tonight.records import by_rig, rows_at
from rigs.wording import RigView, SongView
from rigs.wording.build import set_views


class OnRig(NamedTuple):
    """What one song changes on one rig; `view` is None where it changes nothing."""

    rig: Rig
    view: SongView | None


def rigs_in_use(production: Production) -> list[Rig]:
    """The rigs on stage, by player, main rigs first. One query."""
    rigs = Rig.objects.filter(production=production, retired=False).select_related("player")
    by_player = ("player__position", "player__name", "player")
    return list(rigs.order_by(*by_player, VARIANTS_IN_ORDER, "name"))


def on_rigs(song: Song) -> list[OnRig]:
    """Every rig on stage with what `song` changes on it. At most ten queries."""
    views = set_views_of(rigs_in_use(song.production))
    return [OnRig(rig, of_song(view, str(song.pk))) for rig, view in views.items()]


def of_song(view: RigView, song: str) -> SongView | None:
    return next((each for each in view.songs if each.id == song), None)


def set_views_of(rigs: list[Rig]) -> dict[Rig, RigView]:
    """The units, scenes and songs of each rig as it is documented. Six queries at most; none
    without rigs."""
    return set_views(_states(rigs))


class AtShow(NamedTuple):
    """Rigs as they are at a show, and the units of them that differ."""

    views: dict[Rig, RigView]
    units: list[UnitTonight]


def set_views_at(show: Show, rigs: list[Rig]) -> AtShow:
    """As `set_views_of`, at `show`. Eight queries at most, three more where a unit differs."""
    rows = rows_at(show, rigs)
    documented = _states(rigs)
    layers = by_rig(rows)
    tonight = {rig: laid(state, layers.get(rig.pk, [])) for rig, state in documented.items()}
    return AtShow(set_views(tonight), units_in(rows, documented) if rows else [])


def _states(rigs: list[Rig]) -> dict[Rig, Snapshot]:
    states = states_of((rig, rig.head_number) for rig in rigs)
    return {rig: states[rig.pk, rig.head_number] for rig in rigs}
