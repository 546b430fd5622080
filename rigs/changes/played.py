"""How a rig stands in a song: as documented, as its scenes set it, as the song does. Pure.

This is the one meaning of “what a song sounds like”; pages, drawings, run sheet and API ask here. A
scene sets what it speaks of and leaves the rest as documented. The song's own setting counts most,
since it is made by hand after the press. Of two scenes that are recalled by different units and set
one thing, the one recalled later counts; at the beginning of a song they come in the order of the
units in the rig.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from rigs.changes.edits import Snapshot, Value

IN, BYPASSED = "in", "bypassed"  # the values of a unit in a scene
# Kinds of part, and what they speak of, as the models spell them.
_SCENE, _ENTRY, _SETTING = "scene", "scene_entry", "song_setting"
_CONTROL, _UNIT = "control", "unit"


class Layer(StrEnum):
    """Whose word it is where something stands."""

    DOCUMENTED = "documented"
    SCENE = "scene"
    SONG = "song"


@dataclass(frozen=True, slots=True)
class Stands:
    """Where a control stands, or whether a unit is in or bypassed.

    `scene` is the id of the last scene that speaks of it, and `in_scene` what that says; empty
    where none does. They differ from `value` where the song's own word counts.
    """

    value: str
    layer: Layer = Layer.DOCUMENTED
    scene: str = ""
    in_scene: str = ""

    @property
    def overrules(self) -> bool:
        """Whether the song's own setting is another than that of the scene."""
        return self.layer is Layer.SONG and bool(self.scene) and self.value != self.in_scene


@dataclass(frozen=True, slots=True)
class Played:
    """`controls` has every control by its id, `units` those units that a scene speaks of, and
    `scenes` the scene that each unit stands in, by the unit's id."""

    controls: Mapping[str, Stands] = field(default_factory=dict)
    units: Mapping[str, Stands] = field(default_factory=dict)
    scenes: Mapping[str, str] = field(default_factory=dict)

    @property
    def bypassed(self) -> frozenset[str]:
        """The ids of the units that are bypassed."""
        return frozenset(unit for unit, stands in self.units.items() if stands.value == BYPASSED)


def played(snapshot: Snapshot, song: str = "", scenes: Iterable[str] = ()) -> Played:
    """The rig in `song` (by its id; none: outside of any) once `scenes` are recalled on top.

    The scenes that the song begins with come first, in the order of the rig; `scenes` are ids of
    others, in the order in which they are recalled. Ids that the snapshot lacks are passed over.
    """
    controls = {
        part: Stands(_text(fields, "setting"))
        for part, fields in snapshot.items()
        if fields["kind"] == _CONTROL
    }
    units: dict[str, Stands] = {}
    recalled: dict[str, str] = {}
    for scene in (*_begun(snapshot, song), *scenes):
        if snapshot.get(scene, {}).get("kind") == _SCENE:
            unit = _text(snapshot[scene], "unit")
            # Taken out first, so that the order is that of the last recall of each unit.
            recalled.pop(unit, None)
            recalled[unit] = scene
    entries = _entries(snapshot, set(recalled.values()))
    for scene in recalled.values():
        for what, about, value in entries[scene]:
            known = units if what == _UNIT else controls
            if known is units or about in controls:
                known[about] = Stands(value, Layer.SCENE, scene, value)
    for about, value in _own(snapshot, song):
        if about in controls:
            under = controls[about]
            controls[about] = Stands(value, Layer.SONG, under.scene, under.in_scene)
    return Played(controls, units, recalled)


def _settings_of(snapshot: Snapshot, song: str) -> list[Mapping[str, Value]]:
    if not song:
        return []
    return [
        fields
        for fields in snapshot.values()
        if fields["kind"] == _SETTING and _text(fields, "song") == song
    ]


def _begun(snapshot: Snapshot, song: str) -> list[str]:
    """The scenes that a song begins with, in the order of the units that recall them."""
    named = [f for f in _settings_of(snapshot, song) if f.get("what") == _SCENE]
    named.sort(key=lambda fields: _place(snapshot, _text(fields, "unit")))
    return [_text(fields, "scene") for fields in named]


def _place(snapshot: Snapshot, part: str) -> tuple[int, str, str]:
    fields = snapshot.get(part, {})
    return int(fields.get("position") or 0), _text(fields, "name"), part


def _own(snapshot: Snapshot, song: str) -> Iterable[tuple[str, str]]:
    for fields in _settings_of(snapshot, song):
        if (fields.get("what") or _CONTROL) == _CONTROL:
            yield _text(fields, "control"), _text(fields, "value")


def _entries(snapshot: Snapshot, scenes: set[str]) -> dict[str, list[tuple[str, str, str]]]:
    """What each scene sets: what it is, the id of the unit or control, and the value."""
    entries: dict[str, list[tuple[str, str, str]]] = defaultdict(list)
    for fields in snapshot.values():
        if fields["kind"] == _ENTRY and _text(fields, "scene") in scenes:
            what = str(fields.get("what") or _CONTROL)
            entries[_text(fields, "scene")].append(
                (what, _text(fields, what), _text(fields, "value"))
            )
    return entries


def _text(fields: Mapping[str, Value], name: str) -> str:
    return str(fields.get(name) or "")


def scene_name(fields: Mapping[str, Value]) -> str:
    """The number and name of a scene: “3 Chorus”."""
    return f"{_text(fields, 'slot')} {_text(fields, 'name')}".strip()
