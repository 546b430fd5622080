"""Which scenes an input's sound depends on: those that switch or turn something before it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from uuid import UUID

from core.composed import Composed, Several, column
from core.languages.words import each_of
from rigs.checks.bench import AUDIO
from rigs.models import Input, Link, Rig, Scene, SceneEntry, Unit
from rigs.revisions.sources import heard_of


def scenes_before(
    inputs: Iterable[Input],
    songs: Mapping[UUID, Sequence[str]] | None = None,
    playing: Collection[UUID] = (),
) -> dict[UUID, str]:
    """The scenes that matter for each of `inputs`, in words; inputs without any are left out.
    `playing` are the ids of the rigs that play: what an input picks up of other players is there.

    `songs` are titles by the scene they call, which are said with it.

    One query where no rig has scenes, else three, and one more where an input picks up other rigs.
    """
    entries = list(inputs)
    rigs = {entry.rig_id for entry in entries}.union(playing)
    scenes = {scene.pk: scene for scene in _scenes(rigs)}
    if not scenes:
        return {}
    touching = _touching(rigs)
    feeding: dict[UUID, list[UUID]] = defaultdict(list)
    for link in _audio_links(rigs):
        feeding[link.target_id].append(link.source_id)
    others = _units_of_players(entries, playing)
    found = {}
    for entry in entries:
        picked = heard_of(entry).picked
        heard = {UUID(unit) for unit in picked.units}
        heard.update(unit for player in picked.players for unit in others[player])
        before = {unit for each in heard for unit in _upstream(each, feeding)}
        named = {scene for unit in before for scene in touching.get(unit, ())}
        if named:
            # In the order of the rig, which is that of the query.
            found[entry.pk] = each_of(
                _called(scene, (songs or {}).get(pk, ()))
                for pk, scene in scenes.items()
                if pk in named
            )
    return found


_RIGS = Several(column(Rig))
_scenes = Composed(lambda rigs: Scene.objects.live().filter(rig__pk__among=rigs), _RIGS)
_entries = Composed(
    lambda rigs: SceneEntry.objects.live().filter(rig__pk__among=rigs).select_related("control"),
    _RIGS,
)
_audio_links = Composed(
    lambda rigs: Link.objects.live().filter(rig__pk__among=rigs, carries__in=AUDIO), _RIGS
)


def _called(scene: Scene, songs: Sequence[str]) -> str:
    return f"{scene} ({each_of(songs)})" if songs else str(scene)


def _units_of_players(
    entries: Iterable[Input], playing: Collection[UUID]
) -> Mapping[str, list[UUID]]:
    """The units of the rigs of other players that inputs pick up, by player."""
    found: dict[str, list[UUID]] = defaultdict(list)
    players = {UUID(each) for entry in entries for each in heard_of(entry).picked.players}
    if players:
        rigs = Rig.objects.filter(player__in=players, pk__in=playing)
        rows = Unit.objects.live().filter(rig__in=rigs).values_list("rig__player", "pk")
        for player, unit in rows:
            found[str(player)].append(unit)
    return found


def _touching(rigs: set[UUID]) -> dict[UUID, set[UUID]]:
    """The scenes that speak of a unit or of a control of it, by the unit."""
    touching: dict[UUID, set[UUID]] = defaultdict(set)
    for each in _entries(rigs):
        unit = each.control.unit_id if each.control else each.unit_id
        if unit is not None:
            touching[unit].add(each.scene_id)
    return touching


def _upstream(unit: UUID, feeding: Mapping[UUID, list[UUID]]) -> set[UUID]:
    reached, waiting = {unit}, [unit]
    while waiting:
        for source in feeding.get(waiting.pop(), ()):
            if source not in reached:
                reached.add(source)
                waiting.append(source)
    return reached
