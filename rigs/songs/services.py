"""What songs change, across the rigs of a production."""

from __future__ import annotations

from typing import NamedTuple

from core.models import Production, Song
from rigs.changes.edits import Snapshot
from rigs.models import Control, Input, Rig, SongSetting, Unit
from rigs.models.rigs import VARIANTS_IN_ORDER
from rigs.revisions.read import parts_of
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
    """Every rig on stage with what `song` changes on it. At most eight queries."""
    views = set_views_of(rigs_in_use(song.production))
    return [OnRig(rig, of_song(view, str(song.pk))) for rig, view in views.items()]


def of_song(view: RigView, song: str) -> SongView | None:
    return next((each for each in view.songs if each.id == song), None)


def set_views_of(rigs: list[Rig]) -> dict[Rig, RigView]:
    """The units and songs of each rig as it is now. Seven queries at most; none without rigs."""
    states: dict[Rig, Snapshot] = {rig: {} for rig in rigs}
    by_id = {rig.pk: rig for rig in rigs}
    # Only the kinds that a song can speak of: the rest of a rig would be read in vain.
    for model in (Unit, Control, Input, SongSetting) if rigs else ():
        for rig, part, fields in parts_of(model, by_id):
            states[by_id[rig]][part] = fields
    return set_views(states)
