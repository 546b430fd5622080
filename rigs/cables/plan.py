"""What a path that is typed would make of a rig: its cables, and the units it names anew."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import cached_property
from typing import Any, NamedTuple
from uuid import uuid4

from django.utils.translation import gettext as _

from rigs.cables.usual import UsualCable, usual_cable
from rigs.cables.words import KnownUnit, SaidCable, SaidPath, folded, read_path
from rigs.changes.edits import Add, Snapshot
from rigs.dial_scales import how_read
from rigs.gear import Gear, gear_of
from rigs.models import PARTS, Link, Rig, Unit
from rigs.revisions.plan import build
from rigs.units.several import UnitDraft, edits_of, kind_of
from rigs.wording import RigView
from rigs.wording.build import snapshot_view


class NewUnit(NamedTuple):
    """A name that no unit of the rig has, and the kind that it would be made as."""

    key: str
    name: str
    gear: Gear


class PlannedCable(NamedTuple):
    """A cable that the text names; `is_there` where the rig has it already."""

    said: SaidCable
    source: str
    target: str
    usual: UsualCable
    is_there: bool

    @property
    def words(self) -> str:
        """What it carries, by which lead and which sockets."""
        level = str(Link.Carries(self.usual.carries).label)
        cable = self.usual.cable and _(self.usual.cable)
        lead = [_("in the rig already")] if self.is_there else [level, cable]
        out_of, into = self.said.from_socket, self.said.to_socket
        sockets = [
            out_of and _("out of {socket}").format(socket=out_of),
            into and _("into {socket}").format(socket=into),
        ]
        return _(", ").join(part for part in (*lead, *sockets) if part)


class PathPlan:
    """What `text` says of a rig as it is in `snapshot`. `kinds` are those chosen for new names, by
    folded name; a name of none gets the kind that it tells by itself. Nothing here writes."""

    def __init__(
        self, rig: Rig, snapshot: Snapshot, text: str, kinds: Mapping[str, Gear] | None = None
    ) -> None:
        self.rig, self.snapshot, self.kinds = rig, snapshot, kinds or {}
        self.units, self.links = (
            {part: each for part, each in snapshot.items() if each["kind"] == kind}
            for kind in (Unit.KIND, Link.KIND)
        )
        self.reading: SaidPath = read_path(text, self._known())
        # Given once, so that the edits and the drawing of one plan name the same new units.
        self.ids = {key: str(uuid4()) for key in self.reading.new}

    def _known(self) -> list[KnownUnit]:
        sockets: dict[Any, set[str]] = defaultdict(set)
        for link in self.links.values():
            sockets[link["source"]].add(str(link.get("from_socket") or ""))
            sockets[link["target"]].add(str(link.get("to_socket") or ""))
        return [
            KnownUnit(part, str(unit["name"]), frozenset(sockets[part] - {""}))
            for part, unit in self.units.items()
        ]

    @cached_property
    def new_units(self) -> list[NewUnit]:
        """In the order in which they are said."""
        return [NewUnit(key, name, self._kind(name)) for key, name in self.reading.new.items()]

    def _kind(self, name: str) -> Gear:
        chosen = self.kinds.get(folded(name))
        if chosen is not None:
            return chosen
        return kind_by_name(name)

    @cached_property
    def cables(self) -> list[PlannedCable]:
        """In the order in which they are said."""
        names = {part: str(unit["name"]) for part, unit in self.units.items()} | self.reading.new
        gear = {part: gear_of(str(unit.get("gear", ""))) for part, unit in self.units.items()}
        gear |= {unit.key: unit.gear for unit in self.new_units}
        there = {
            tuple(str(link.get(name) or "") for name in SaidCable._fields)
            for link in self.links.values()
        }
        return [
            PlannedCable(
                said,
                names[said.source],
                names[said.target],
                usual_cable(gear[said.source], gear[said.target], said.from_socket, said.to_socket),
                tuple(said) in there,
            )
            for said in self.reading.cables
        ]

    @property
    def missing(self) -> list[PlannedCable]:
        """The cables that the rig has not yet."""
        return [cable for cable in self.cables if not cable.is_there]

    def edits(self, leads: Mapping[str, UsualCable] | None = None) -> list[Add]:
        """New units with their usual controls, and the cables. `leads` are other plugs and lengths,
        by the key of what is usual."""
        edits: list[Add] = []
        first = _next(self.units)
        for position, unit in enumerate(self.new_units, start=first):
            reading = how_read((), numbered=unit.gear.numbered)
            draft = UnitDraft(unit.name, unit.gear, reading=reading)
            edits += edits_of(self.ids[unit.key], position, draft)
        for position, cable in enumerate(self.missing, start=_next(self.links)):
            fields = self._fields(cable, (leads or {}).get(cable.usual.key, cable.usual))
            edits.append(Add(str(uuid4()), Link.KIND, fields | {"position": position}))
        return edits

    def _fields(self, cable: PlannedCable, lead: UsualCable) -> dict[str, Any]:
        said = cable.said
        fields = {
            **said._asdict(),
            "source": self.ids.get(said.source, said.source),
            "target": self.ids.get(said.target, said.target),
            "carries": lead.carries,
            "cable": lead.cable,
            "connectors": lead.connectors,
        }
        if lead.length is not None:
            fields |= {"length_m": lead.length.metres, "length_unit": lead.length.unit}
        return fields

    def view(self, edits: Iterable[Add]) -> RigView:
        """What hangs together with the cables that are said, as it would be after `edits`."""
        after = dict(self.snapshot)
        for edit in edits:
            after[edit.part] = build(PARTS[edit.kind], self.rig, edit.part, edit.fields).fields()
        view = snapshot_view(self.rig, after)
        near = {self.ids.get(end, end) for said in self.reading.cables for end in said[:2]}
        return _beside(view, near)


def kind_by_name(name: str) -> Gear:
    """The kind that a name tells: by itself, by a word of it, or by how its last word begins."""
    for word in (name, name.split()[-1]):
        try:
            return kind_of(word)
        except ValueError:
            continue
    return kind_of("", name)


def _beside(view: RigView, units: set[str]) -> RigView:
    """The part of a rig that any way of cables joins to `units`."""
    near: dict[str, set[str]] = defaultdict(set)
    for link in view.links:
        near[link.source].add(link.target)
        near[link.target].add(link.source)
    joined, waiting = set(units), list(units)
    while waiting:
        found = near[waiting.pop()] - joined
        joined |= found
        waiting += found
    return replace(
        view,
        units=tuple(unit for unit in view.units if unit.id in joined),
        links=tuple(link for link in view.links if link.source in joined),
        inputs=tuple(entry for entry in view.inputs if joined.intersection(entry.units)),
    )


def _next(parts: Mapping[str, Mapping[str, Any]]) -> int:
    return max((int(part.get("position") or 0) for part in parts.values()), default=0) + 1
