"""Which changes of a rig are of words that can be found."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any
from uuid import UUID

from rigs.changes.edits import WHOLE
from rigs.fields import searched_of
from rigs.models import ChangeRow, Control, Group, Member, Pin, Scene, Source, Spare, Unit
from rigs.search.gear import LETTERS

# A rig's name and whether it is retired are in the title of everything that belongs to it.
TITLES = frozenset({"name", "retired"})


def is_worded(row: ChangeRow) -> bool:
    """Whether anything that is in the index changed; turning a dial changes no word."""
    if tells_of_sources(row):
        return True
    names = {field.name for field in searched_of(row.kind)}
    if not names:
        return False
    if row.kind == "control" and row.field == "setting":
        return any(LETTERS.search(str(value or "")) for value in (row.old, row.new))
    return row.field == WHOLE or row.field in names


def tells_of_sources(row: ChangeRow) -> bool:
    """Whether it changes what an input picks up, or the name of what one may pick up."""
    if row.kind in (Source.KIND, Member.KIND):
        return True
    return row.kind in (Group.KIND, Unit.KIND) and row.field == "name"


def retitles(row: ChangeRow) -> bool:
    return row.kind == "rig" and row.field in TITLES


def units_of(rows: Iterable[ChangeRow]) -> set[UUID]:
    """The units whose entry shows something of `rows`: their own, or of what belongs to them."""
    units = set()
    models: tuple[Any, ...] = (Control, Spare, Scene)
    belongings: dict[str, set[UUID]] = {model.KIND: set() for model in models}
    for row in rows:
        if row.kind == "unit":
            units.add(row.part)
        elif row.kind in belongings:
            belongings[row.kind].add(row.part)
            # The unit that it belonged to before still has it in its entry.
            if row.field == "unit" and row.old:
                units.add(UUID(row.old))
    for model in models:
        if parts := belongings[model.KIND]:
            units.update(model.objects.filter(pk__in=parts).values_list("unit_id", flat=True))
    return units


def photos_of(rows: Iterable[ChangeRow]) -> set[UUID]:
    """The photos whose entry shows something of `rows`: their own, or of pins on them."""
    rows = list(rows)
    pins = {row.part for row in rows if row.kind == "pin"}
    photos = {row.part for row in rows if row.kind == "photo"}
    photos |= {UUID(r.old) for r in rows if r.kind == "pin" and r.field == "photo" and r.old}
    if pins:
        photos.update(Pin.objects.filter(pk__in=pins).values_list("photo_id", flat=True))
    return photos
