"""What was taken out of a rig and can come back."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from rigs.models import Control, Input, Link, Part, Photo, Rig, Spare, Unit


@dataclass(frozen=True, slots=True)
class Away:
    """A retired part. `waits_for` names what has to come back first; empty where nothing has."""

    part: Part
    words: str
    waits_for: str = ""

    @property
    def retire_url_name(self) -> str:
        return f"rigs:{self.part.KIND}_retire"


@dataclass(frozen=True, slots=True)
class Group:
    heading: str
    parts: tuple[Away, ...]


def retired_parts(rig: Rig) -> list[Group]:
    """Everything of `rig` that is retired and has a way back of its own. Six queries.

    Figures, pins and what songs said come back with what they belong to.
    """
    groups = (
        ("Units", (Away(u, u.get_gear_display()) for u in _of(Unit, rig))),
        ("Cables", _cables(rig)),
        ("Inputs", (Away(i, _unit_of(i.unit), _waits([i.unit])) for i in _of(Input, rig, "unit"))),
        ("Controls", _belonging(_of(Control, rig, "unit"))),
        ("What wears", _belonging(_of(Spare, rig, "unit"))),
        ("Photos", (Away(photo, "") for photo in _of(Photo, rig))),
    )
    made = (Group(heading, tuple(found)) for heading, found in groups)
    return [group for group in made if group.parts]


def _of(model: type[Part], rig: Rig, *along: str) -> Iterable[Any]:
    found = model.objects.filter(rig=rig, retired=True).order_by("position", "pk")
    return found.select_related(*along) if along else found


def _cables(rig: Rig) -> Iterator[Away]:
    for link in _of(Link, rig, "source", "target"):
        told = [link.cable, link.connectors, link.get_carries_display()]
        yield Away(
            link, ", ".join(word for word in told if word), _waits([link.source, link.target])
        )


def _belonging(found: Iterable[Any]) -> Iterator[Away]:
    for part in found:
        yield Away(part, _unit_of(part.unit), _waits([part.unit]))


def _unit_of(unit: Unit | None) -> str:
    return f"of {unit}" if unit else ""


def _waits(units: Iterable[Unit | None]) -> str:
    return " and ".join(f"“{unit}”" for unit in units if unit is not None and unit.retired)
