"""Which changes of a rig are of words that can be found."""

from __future__ import annotations

from collections.abc import Iterable
from uuid import UUID

from rigs.changes.edits import WHOLE
from rigs.models import ChangeRow, Control, Spare
from rigs.search.gear import LETTERS

# What of each kind of part is in the index. A rig's name and whether it is retired are in the
# title of everything that belongs to it.
TITLES = frozenset({"name", "retired"})
TEXT: dict[str, frozenset[str]] = {
    "rig": TITLES | {"variant", "sound", "notes"},
    "unit": frozenset(
        {
            "name",
            "gear",
            "maker",
            "model",
            "serial",
            "tuning",
            "notes",
            "stage_position",
            "mains_circuit",
            "packed_in",
        }
    ),
    "control": frozenset({"unit", "name"}),
    "spare": frozenset({"unit", "sort", "what", "maker"}),
    "input": frozenset(
        {
            "number",
            "name",
            "device",
            "aimed_at",
            "reference_point",
            "stand",
            "stage_position",
            "notes",
        }
    ),
}


def is_worded(row: ChangeRow) -> bool:
    """Whether anything that is in the index changed; turning a dial changes no word."""
    if row.kind not in TEXT:
        return False
    if row.kind == "control" and row.field == "setting":
        return any(LETTERS.search(str(value or "")) for value in (row.old, row.new))
    return row.field == WHOLE or row.field in TEXT[row.kind]


def retitles(row: ChangeRow) -> bool:
    return row.kind == "rig" and row.field in TITLES


def units_of(rows: Iterable[ChangeRow]) -> set[UUID]:
    """The units whose entry shows something of `rows`: their own, or of what belongs to them."""
    units = set()
    belongings: dict[str, set[UUID]] = {"control": set(), "spare": set()}
    for row in rows:
        if row.kind == "unit":
            units.add(row.part)
        elif row.kind in belongings:
            belongings[row.kind].add(row.part)
            if row.field == "unit" and row.old:
                units.add(UUID(row.old))
    for model in (Control, Spare):
        if parts := belongings[model.KIND]:
            units.update(model.objects.filter(pk__in=parts).values_list("unit_id", flat=True))
    return units
