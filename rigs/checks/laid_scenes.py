"""Scenes as the rules see them, from a snapshot of a rig. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from rigs.changes.edits import Snapshot
from rigs.changes.played import played, scene_name
from rigs.checks.bench import BenchScene, Overruled, Turned
from rigs.checks.between_songs import Piece


def scenes_of(
    scenes: Sequence[tuple[str, Mapping[str, object]]], state: Snapshot
) -> list[BenchScene]:
    """`scenes` are those of `state`, in order. What points at nothing is left out."""
    entries = [f for f in state.values() if f.get("kind") == "scene_entry"]
    laid = []
    for part, fields in scenes:
        mine = [f for f in entries if f.get("scene") == part]
        units = [str(f["unit"]) for f in mine if f.get("unit") in state]
        controls = [str(f["control"]) for f in mine if f.get("control") in state]
        turned = [Turned(c, str(state[c].get("name")), str(state[c].get("unit"))) for c in controls]
        turned.sort(key=lambda each: (each.unit, each.name, each.control))
        name = scene_name(state[part])
        laid.append(
            BenchScene(part, name, str(fields.get("unit")), tuple(sorted(units)), tuple(turned))
        )
    return laid


def overruled_in(state: Snapshot, songs: Iterable[Piece]) -> list[Overruled]:
    """Each control that a song sets otherwise than the scene that it begins with."""
    found = []
    for song in songs:
        for control, stands in played(state, song.id).controls.items():
            if stands.overrules:
                fields, scene = state[control], state[stands.scene]
                found.append(
                    Overruled(
                        song.id,
                        song.title,
                        stands.scene,
                        scene_name(scene),
                        str(fields.get("unit")),
                        str(fields.get("name")),
                        stands.in_scene,
                        stands.value,
                    )
                )
    return found
