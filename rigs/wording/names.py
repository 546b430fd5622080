"""Names for what changes point at: parts (retired ones, too) and microphones."""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import NamedTuple
from uuid import UUID

from django.utils.text import capfirst
from django.utils.translation import gettext as _

from core.models import Player, Section, Song
from core.one_pass import once_a_pass
from rigs.changes.edits import Change, Snapshot, Value
from rigs.changes.played import scene_name
from rigs.facts import FACTS
from rigs.fields import kinds_with_lengths, lengths_of, rows_of
from rigs.models import PARTS, ChangeRow, Device, Part, Pin, Rig, SceneEntry, SongSetting
from rigs.models.parts import columns, plain_value
from rigs.picked_up import rig_of
from rigs.revisions.many import parts_read
from rigs.revisions.references import PART_POINTERS, POINTERS, kinds_in
from rigs.wording.fields import label

_BELONGS = {
    "control": "unit",
    "fact": "unit",
    "spare": "unit",
    "member": "group",
    "source": "input",
    "photo": "about",
    "pin": "photo",
    "scene": "unit",
    "scene_entry": "scene",
    "song_setting": "song",
}
SONG, SECTION, PLAYER = "song", "section", "player"  # of core: parts of no rig, but named so
# Parts that point at others come before those, whose ids are known only when they were read.
_FETCHED = (
    "pin",
    "song_setting",
    "scene_entry",
    "scene",
    "control",
    "fact",
    "spare",
    "link",
    "photo",
    "source",
    "member",
    "input",
    "group",
    "unit",
)
# Beyond this many ids the rigs are read whole instead; databases limit parameters of a query.
MANY = 1000


class UnitStep(NamedTuple):
    """A length's unit changed at a revision (by its primary key)."""

    revision: int
    old: str | None
    new: str | None


@dataclass(slots=True)
class Names:
    """What is known of parts (id → some of its fields, `kind` among them) and devices."""

    parts: dict[str, Mapping[str, Value]] = field(default_factory=dict)
    devices: dict[str, str] = field(default_factory=dict)
    # A length reads in the unit that it had at the time, so that old changes keep their words.
    steps: dict[tuple[str, str], list[UnitStep]] = field(default_factory=dict)
    pins: dict[str, int] = field(default_factory=dict)  # id → number on its photo

    def of(self, part: Value) -> str:
        """A part's own name: “Gain”, “7 Bass mic”, “Head → Cabinet”, “photo “top of the amp””."""
        fields = self.parts.get(str(part))
        if fields and fields["kind"] == "pin":
            number = self.pins.get(str(part))
            return _("pin {number}").format(number=number) if number else _("pin")
        return _name(fields, self) if fields else _("something that is not on file")

    def in_full(self, part: Value) -> str:
        """Like `of`, with the unit that a control belongs to: “Gain of Head”."""
        fields = self.parts.get(str(part), {})
        own = self.of(part)
        if fields.get("kind") != "control":
            return own
        return _("{control} of {unit}").format(control=own, unit=self.of(fields.get("unit")))

    def owner(self, part: str) -> str:
        """What a control, figure, photo or pin belongs to, or the part itself."""
        fields = self.parts.get(part, {})
        pointer = _BELONGS.get(str(fields.get("kind")))
        return str((pointer and fields.get(pointer)) or part)

    def programs_of(self, unit: Value) -> str:
        """What a unit counts its programs from (rigs.midi); empty where nobody has said it."""
        return str(self.parts.get(str(unit), {}).get("programs_from") or "")

    def device(self, pk: Value) -> str:
        return self.devices.get(str(pk), _("a microphone or DI that is not on file"))

    def units_at(self, part: str, revision: int | None) -> dict[str, Value]:
        """The fields known of a part, the units of its lengths as they were after `revision`."""
        fields = dict(self.parts.get(part, {}))
        if revision is not None:
            for length in lengths_of(str(fields.get("kind"))):
                steps = self.steps.get((part, length.unit_field))
                if steps:
                    fields[length.unit_field] = _unit_after(steps, revision)
        return fields


def _unit_after(steps: list[UnitStep], revision: int) -> str | None:
    at = bisect_right([step.revision for step in steps], revision)
    return steps[at - 1].new if at else steps[0].old


def _name(fields: Mapping[str, Value], names: Names) -> str:
    kind = fields["kind"]
    if kind == "link":
        return f"{names.of(fields.get('source'))} → {names.of(fields.get('target'))}"
    if kind == "fact":
        fact = FACTS.get(str(fields.get("key")))
        return str(capfirst(fact.words)) if fact else str(fields.get("key"))
    if kind == "photo":
        caption = fields.get("caption")
        return _("photo “{caption}”").format(caption=caption) if caption else _("photo")
    if kind == "spare":
        return str(fields.get("what") or _("spare"))
    if kind == "song_setting":
        return _difference(fields, names)
    if kind == "scene":
        return _("scene “{name}”").format(name=scene_name(fields))
    if kind == "scene_entry":
        return _set_by_scene(fields, names)
    if kind in ("source", "member"):
        return names.of(fields.get("unit") or fields.get("group") or fields.get(PLAYER))
    if kind == SONG:
        return f"“{fields.get('name')}”"
    name = str(fields.get("name") or label(str(kind), "name"))
    number = fields.get("number") if kind == "input" else None
    return name if number is None else f"{number} {name}"


def _set_by_scene(fields: Mapping[str, Value], names: Names) -> str:
    """What a scene sets: “Echo” for the whole unit, “Echo, Time” for a control."""
    if fields.get("what") == SceneEntry.What.UNIT:
        return names.of(fields.get("unit"))
    control = names.parts.get(str(fields.get("control")), {})
    return f"{names.of(control.get('unit'))}, {names.of(fields.get('control'))}"


def _difference(fields: Mapping[str, Value], names: Names) -> str:
    """What a difference of a song is about: “Head, Gain”, “tuning of Huvel”, “cue”."""
    what = str(fields.get("what") or SongSetting.What.CONTROL)
    about = names.of(fields.get(SongSetting.ABOUT.get(what, "")))
    if what == SongSetting.What.CONTROL:
        control = names.parts.get(str(fields.get("control")), {})
        return f"{names.of(control.get('unit'))}, {about}"
    if what == SongSetting.What.TUNING:
        return _("tuning of {unit}").format(unit=about)
    if what == SongSetting.What.SCENE:
        return _("scene of {unit}").format(unit=about)
    if what == SongSetting.What.SCENE_CHANGE:
        return _("change of scene")
    if what == SongSetting.What.MIDI:
        return _("MIDI to {unit}").format(unit=about)
    if what == SongSetting.What.INPUT:
        return about
    if what == SongSetting.What.CUE:
        return _("cue")
    return _("instrument") if what == SongSetting.What.INSTRUMENT else what


def names_in(rig: Rig, *snapshots: Snapshot, devices: Mapping[str, str] | None = None) -> Names:
    """From whole states; of a part in several of them, the last one's name. One query; none where
    `devices` names all that the states have."""
    names = Names()
    for snapshot in snapshots:
        names.parts.update(snapshot)
    names.parts.setdefault(str(rig.pk), {"kind": "rig", "name": rig.name})
    names.devices = dict(_devices([rig], devices_in(snapshots)) if devices is None else devices)
    for snapshot in snapshots:
        pins = ((part, f) for part, f in snapshot.items() if f["kind"] == "pin")
        names.pins.update(numbered(pins))
    every = [fields for s in snapshots for fields in s.values()]
    names.parts.update(_of_set([rig], every))
    names.parts.update(_players([rig], every))
    return names


def devices_in(snapshots: Iterable[Snapshot]) -> set[str]:
    """The ids of the microphones and DIs that states point at."""
    return {str(f["device"]) for s in snapshots for f in s.values() if f.get("device")}


def numbered(pins: Iterable[tuple[str, Mapping[str, Value]]]) -> dict[str, int]:
    """Each pin's number, from 1: its rank among the pins of its photo."""
    last: dict[Value, int] = defaultdict(int)
    numbers: dict[str, int] = {}
    for part, fields in sorted(pins, key=lambda pin: (int(pin[1].get("position") or 0), pin[0])):
        last[fields.get("photo")] += 1
        numbers[part] = last[fields.get("photo")]
    return numbers


def _of_set(
    rigs: list[Rig], settings: Iterable[Mapping[str, Value]]
) -> dict[str, dict[str, Value]]:
    """The songs and sections that parts point at: one query each, none where there are none."""
    ids: dict[str, set[str]] = defaultdict(set)
    for fields in settings:
        if fields.get("kind") == SongSetting.KIND:
            for pointer in (SONG, SECTION):
                if fields.get(pointer):
                    ids[pointer].add(str(fields[pointer]))
    return _titles(ids[SONG], ids[SECTION], {rig.production_id for rig in rigs})


@once_a_pass
def _titles(songs: set[str], sections: set[str], places: set[UUID]) -> dict[str, dict[str, Value]]:
    named: dict[str, dict[str, Value]] = {}
    if songs:
        rows = Song.objects.filter(pk__in=songs, production__in=places)
        for song in rows.only("title", "position"):
            named[str(song.pk)] = {"kind": SONG, "name": song.title, "position": song.position}
    if sections:
        parts = Section.objects.filter(pk__in=sections, song__production__in=places)
        for section in parts.only("name", "position"):
            place = section.position
            named[str(section.pk)] = {"kind": SECTION, "name": section.name, "position": place}
    return named


def _players(rigs: list[Rig], parts: Iterable[Mapping[str, Value]]) -> dict[str, dict[str, Value]]:
    """The rigs of players that parts point at, as they are called. One query, or none."""
    ids = {str(fields[PLAYER]) for fields in parts if fields.get(PLAYER)}
    if not ids:
        return {}
    return {
        str(row.pk): {"kind": PLAYER, "name": rig_of(row.name), "position": row.position}
        for row in _player_rows(ids, {rig.production_id for rig in rigs})
    }


@once_a_pass
def _player_rows(ids: set[str], places: set[UUID]) -> list[Player]:
    rows = Player.objects.filter(pk__in=ids, production__in=places)
    return list(rows.only("name", "position"))


def names_for(rigs: Iterable[Rig], changes: Iterable[Change], *, steps: bool = True) -> Names:
    """For what `changes` mention: from the newest states of `rigs`, where they were read already,
    and from the tables, with one query for each kind of part at most.

    Without `steps`, units of length are known only as they are now.
    """
    rigs, changes = list(rigs), list(changes)
    names = Names()
    names.parts.update({str(rig.pk): {"kind": "rig", "name": rig.name} for rig in rigs})
    ids, devices = _mentioned(changes)
    read = parts_read(rigs)
    for kind in _FETCHED:
        here: dict[str, Mapping[str, Value]] = {p: read[p] for p in ids[kind] if p in read}
        # What is retired is in no state.
        for part, fields in (here | _fetch(kind, rigs, ids[kind] - here.keys())).items():
            names.parts[part] = fields
            for pointer in PART_POINTERS.get(kind, ()):
                if fields.get(pointer):
                    _want(ids, kind, pointer, fields[pointer])
    names.pins = _pin_numbers(ids["pin"], names)
    states = [{**fields, "kind": c.kind} for c in changes for fields in _sides(c)]
    names.parts.update(_of_set(rigs, [*names.parts.values(), *states]))
    names.parts.update(_players(rigs, [*names.parts.values(), *states]))
    names.devices = _devices(rigs, devices)
    if steps:
        names.steps = _steps({kind: ids[kind] for kind in kinds_with_lengths()})
    return names


def _mentioned(changes: Iterable[Change]) -> tuple[dict[str, set[str]], set[str]]:
    ids: dict[str, set[str]] = defaultdict(set)
    devices: set[str] = set()
    for change in changes:
        ids[change.kind].add(change.part)
        for fields in _sides(change):
            for name, value in fields.items():
                if value and name in PART_POINTERS.get(change.kind, ()):
                    _want(ids, change.kind, name, value)
                elif value and name == "device":
                    devices.add(str(value))
    return ids, devices


def _sides(change: Change) -> list[dict[str, Value]]:
    """The fields of a change as they were and as they became."""
    sides = (change.old, change.new)
    return [side if isinstance(side, dict) else {change.field: side} for side in sides]


def _want(ids: dict[str, set[str]], kind: str, pointer: str, part: Value) -> None:
    for target in kinds_in(POINTERS[kind][pointer]):
        ids[target].add(str(part))


def _fetch(kind: str, rigs: list[Rig], ids: set[str]) -> dict[str, dict[str, Value]]:
    if not ids:
        return {}
    model = PARTS[kind]
    assert issubclass(model, Part)  # noqa: S101 - the rig itself is known already
    rows = model.objects.filter(rig__in=rigs)
    if len(ids) <= MANY:
        rows = rows.filter(pk__in=ids)
    fetched: dict[str, dict[str, Value]] = {}
    for row in rows.values("pk", *_named_by(kind)):
        part = str(row.pop("pk"))
        known = {name.removesuffix("_id"): plain_value(value) for name, value in row.items()}
        fetched[part] = {"kind": kind, **known}
    return fetched


@cache
def _named_by(kind: str) -> tuple[str, ...]:
    """The columns that a part's name, or the text of one of its values, is made from."""
    fields = {row.name for row in rows_of(kind) if row.names_part}
    fields |= {"position", *(length.unit_field for length in lengths_of(kind))}
    return tuple(c.attname for c in columns(PARTS[kind]) if c.name in fields)


def _pin_numbers(pin_ids: set[str], names: Names) -> dict[str, int]:
    """As the pins are numbered now; those that are put away have no number. One query, or none."""
    if not pin_ids:
        return {}
    photos = {str(names.parts[pin].get("photo")) for pin in pin_ids if pin in names.parts}
    pins = Pin.objects.live().filter(photo__in=photos).values_list("pk", "photo", "position")
    return numbered((str(pk), {"photo": str(p), "position": at}) for pk, p, at in pins)


def _devices(rigs: list[Rig], ids: set[str]) -> dict[str, str]:
    if not ids:
        return {}
    rows = Device.objects.filter(pk__in=ids, production__in={rig.production_id for rig in rigs})
    return {str(row.pk): str(row) for row in rows.only("pk", "name", "maker")}


def _steps(parts: Mapping[str, set[str]]) -> dict[tuple[str, str], list[UnitStep]]:
    """When the units of the lengths of those parts (kind → ids) changed, oldest first."""
    ids = {UUID(part) for of_kind in parts.values() for part in of_kind}
    if not ids:
        return {}
    units = {length.unit_field for kind in parts for length in lengths_of(kind)}
    steps: dict[tuple[str, str], list[UnitStep]] = defaultdict(list)
    rows = ChangeRow.objects.filter(part__in=ids, field__in=units)
    for row in rows.order_by("revision_id"):
        steps[str(row.part), row.field].append(UnitStep(row.revision_id, row.old, row.new))
    return dict(steps)
