"""A short way to write a rig down, and its translation into the gateway's edits."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any
from uuid import NAMESPACE_URL, uuid5

from core.units import parse_length
from rigs.cables.plan import PathPlan
from rigs.changes.edits import Add
from rigs.facts import FACTS
from rigs.models import Rig
from rigs.revisions.sources import chosen_add


@dataclass
class C:
    """A control: name, setting, and how it is read (a clock dial unless said otherwise)."""

    name: str
    setting: str
    style: str = "clock"
    more: dict[str, Any] = field(default_factory=dict)


def dial(name: str, setting: str, high: int = 10) -> C:
    return C(name, setting, "dial", {"low": "0", "high": str(high)})


def switch(name: str, setting: str, choices: str = "off, on") -> C:
    return C(name, setting, "switch", {"choices": choices})


def choice(name: str, setting: str, choices: str) -> C:
    return C(name, setting, "choice", {"choices": choices})


def value(name: str, setting: str, symbol: str) -> C:
    return C(name, setting, "value", {"symbol": symbol})


def text(name: str, setting: str) -> C:
    return C(name, setting, "text")


@dataclass
class U:
    """A unit with its controls, figures and spares. `facts` are in the units that crews use."""

    name: str
    gear: str
    maker: str = ""
    model: str = ""
    controls: list[C] = field(default_factory=list)
    more: dict[str, Any] = field(default_factory=dict)
    facts: dict[str, str] = field(default_factory=dict)
    spares: list[S] = field(default_factory=list)
    plan: tuple[str, str] | None = None  # right and front of the snare's centre


@dataclass
class S:
    """What wears on a unit: kind, what exactly, how many are carried, how often it is changed."""

    sort: str
    what: str
    carried: int = 0
    every: int | None = None
    per: str = ""
    more: dict[str, Any] = field(default_factory=dict)


@dataclass
class L:
    """A cable between two units, by name."""

    source: str
    target: str
    carries: str = "instrument"
    length: str = ""
    cable: str = ""
    connectors: str = ""
    from_socket: str = ""
    to_socket: str = ""


@dataclass
class I:  # noqa: E742 - as short as what it stands for
    """An input. Lengths are texts as a crew writes them, such as “35 mm”."""

    number: int
    name: str
    unit: str
    device: str
    aimed_at: str = ""
    measured_from: str = ""
    distance: str = ""
    angle: str = ""
    height: str = ""
    offset: str = ""
    more: dict[str, Any] = field(default_factory=dict)
    plan: tuple[str, str] | None = None
    also: tuple[str, ...] = ()  # units, groups and players it picks up beside its own unit, by name


@dataclass
class P:
    """A scene: one press on a unit. `sets` has units by name and controls as “Unit/Control”."""

    unit: str
    slot: str
    name: str
    sets: dict[str, str] = field(default_factory=dict)

    def __str__(self) -> str:
        return f"{self.unit}/{self.slot}"


@dataclass
class R:
    """A rig of one player, as a list of what it consists of."""

    player: str
    name: str
    sound: str
    units: list[U]
    links: list[L] = field(default_factory=list)
    inputs: list[I] = field(default_factory=list)
    variant: str = "main"
    notes: str = ""
    path: str = ""  # cables as they are typed on the page, instead of `links`
    scenes: list[P] = field(default_factory=list)
    groups: dict[str, tuple[str, ...]] = field(default_factory=dict)  # name → names of units


class Ids:
    """Stable ids for the demonstration's parts, so that loading it twice finds them again."""

    def __init__(self, production: str, rig: R) -> None:
        self.prefix = f"toneledger-demo/{production}/{rig.player}/{rig.name}"

    def __call__(self, kind: str, name: str) -> str:
        # By name (RFC 9562, version 5): the story finds a part again without asking the database.
        return str(uuid5(NAMESPACE_URL, f"{self.prefix}/{kind}/{name}"))


def parts_of(rig: R, ids: Ids, devices: dict[str, str], players: dict[str, str]) -> list[Add]:
    """The edits that document `rig`; `devices` and `players` map names to ids."""
    parts: list[Add] = []
    for position, unit in enumerate(rig.units):
        parts += _unit(unit, ids, position)
    for position, link in enumerate(rig.links):
        parts.append(_link(link, ids, position))
    parts += _path(rig.path, ids, parts)
    for position, (name, units) in enumerate(rig.groups.items()):
        group = ids("group", name)
        parts.append(Add(group, "group", {"name": name, "position": position}))
        parts += [chosen_add("member", group, ("unit", ids("unit", unit))) for unit in units]
    for position, entry in enumerate(rig.inputs):
        parts.append(_input(entry, ids, devices, position))
        for name in entry.also:
            kind = "group" if name in rig.groups else "player" if name in players else "unit"
            about = players[name] if kind == "player" else ids(kind, name)
            parts.append(chosen_add("source", ids("input", entry.name), (kind, about)))
    for position, scene in enumerate(rig.scenes):
        parts += _scene(scene, ids, position)
    return parts


def _scene(scene: P, ids: Ids, position: int) -> list[Add]:
    me = ids("scene", str(scene))
    own = {"unit": ids("unit", scene.unit), "slot": scene.slot, "name": scene.name}
    parts = [Add(me, "scene", {**own, "position": position})]
    for about, value in scene.sets.items():
        what = "control" if "/" in about else "unit"
        fields = {"scene": me, "what": what, what: ids(what, about), "value": value}
        parts.append(Add(ids("scene_entry", f"{scene}/{about}"), "scene_entry", fields))
    return parts


def _unit(unit: U, ids: Ids, position: int) -> list[Add]:
    me = ids("unit", unit.name)
    fields = {
        "name": unit.name,
        "gear": unit.gear,
        "maker": unit.maker,
        "model": unit.model,
        "position": position,
        **_plan(unit.plan),
        **unit.more,
    }
    return [
        Add(me, "unit", fields),
        *(_control(control, unit, ids, at) for at, control in enumerate(unit.controls)),
        *(_figure(key, unit, ids, at) for at, key in enumerate(unit.facts)),
        *(_spare(spare, unit, ids, at) for at, spare in enumerate(unit.spares)),
    ]


def _control(control: C, unit: U, ids: Ids, position: int) -> Add:
    fields = {
        "unit": ids("unit", unit.name),
        "name": control.name,
        "style": control.style,
        "setting": control.setting,
        "position": position,
        **control.more,
    }
    return Add(ids("control", f"{unit.name}/{control.name}"), "control", fields)


def _figure(key: str, unit: U, ids: Ids, position: int) -> Add:
    fact = FACTS[key]
    fields = {
        "unit": ids("unit", unit.name),
        "key": key,
        "value": fact.in_si(type(fact.per_shown)(unit.facts[key])),
        "source": "read off the label",
        "position": position,
    }
    return Add(ids("fact", f"{unit.name}/{key}"), "fact", fields)


def _link(link: L, ids: Ids, position: int) -> Add:
    fields: dict[str, Any] = {
        "source": ids("unit", link.source),
        "target": ids("unit", link.target),
        "carries": link.carries,
        "cable": link.cable,
        "connectors": link.connectors,
        "from_socket": link.from_socket,
        "to_socket": link.to_socket,
        "position": position,
        **_length("length", link.length),
    }
    return Add(ids("link", f"{link.source}/{link.target}/{position}"), "link", fields)


def _path(words: str, ids: Ids, parts: list[Add]) -> list[Add]:
    """The cables of a path in words among `parts`, read as the page reads them.

    Raises ValueError where the words name something that is not there.
    """
    plan = PathPlan(Rig(), {part.part: {"kind": part.kind, **part.fields} for part in parts}, words)
    if plan.reading.problems or plan.new_units:
        raise ValueError(f"Not a path of this rig: {words}")
    return [
        replace(edit, part=ids("link", f"{cable.source}/{cable.target}/{position}"))
        for position, (edit, cable) in enumerate(zip(plan.edits(), plan.cables, strict=True))
    ]


def _input(entry: I, ids: Ids, devices: dict[str, str], position: int) -> Add:
    fields: dict[str, Any] = {
        "number": entry.number,
        "name": entry.name,
        "unit": ids("unit", entry.unit) if entry.unit else None,
        "device": devices[entry.device],
        "aimed_at": entry.aimed_at,
        "reference_point": entry.measured_from,
        "position": position,
        **_length("distance", entry.distance),
        **_length("height", entry.height),
        **_length("offset", entry.offset),
        **_plan(entry.plan),
        **entry.more,
    }
    if entry.angle:
        fields["angle_deg"] = entry.angle
    return Add(ids("input", entry.name), "input", fields)


def _spare(spare: S, unit: U, ids: Ids, position: int) -> Add:
    fields = {
        "unit": ids("unit", unit.name),
        "sort": spare.sort,
        "what": spare.what,
        "carried": spare.carried,
        "every": spare.every,
        "per": spare.per,
        "position": position,
        **spare.more,
    }
    return Add(ids("spare", f"{unit.name}/{spare.what}"), "spare", fields)


def _plan(place: tuple[str, str] | None) -> dict[str, Any]:
    if place is None:
        return {}
    return {**_length("plan_right", place[0]), **_length("plan_front", place[1])}


def _length(name: str, written: str) -> dict[str, Any]:
    if not written:
        return {}
    length = parse_length(written)
    return {f"{name}_m": length.metres, f"{name}_unit": length.unit}
