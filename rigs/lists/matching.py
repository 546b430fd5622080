"""What a stranger's row would change: which input it means, and what in it cannot be right."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any
from uuid import uuid4

from core.models import Player, Production
from rigs.lists.columns import BY_KEY, COLUMNS, show
from rigs.lists.input_list import inputs_of
from rigs.models import Device, Input, Rig
from rigs.models.parts import plain_value
from rigs.revisions.edits import Add, Edit, Set


@dataclass(slots=True)
class Row:
    """One row of the file and what it would do. `edit` is None if it changes nothing."""

    number: int  # of the row in the file
    cells: dict[str, str]
    errors: dict[str, str] = field(default_factory=dict)
    rig: Rig | None = None
    entry: Input | None = None  # the input it means; None for a new one
    edit: Edit | None = None
    changes: list[tuple[str, str, str]] = field(default_factory=list)  # heading, old, new

    @property
    def is_new(self) -> bool:
        return isinstance(self.edit, Add)


class Matcher:
    """Knows the production's rigs, inputs and devices; a fixed number of queries."""

    def __init__(self, production: Production) -> None:
        rigs = Rig.objects.filter(production=production, retired=False).select_related("player")
        self.rigs = list(rigs.order_by("player__position", "name"))
        self.inputs = inputs_of(production, [variant for variant, _ in Rig.Variant.choices])
        self.devices: dict[str, Device] = {}
        for device in Device.objects.live().filter(production=production):
            self.devices.setdefault(device.name.casefold(), device)
            self.devices[str(device).casefold()] = device
        self.taken: set[str] = set()

    def rows(self, cells: Iterable[tuple[int, dict[str, str]]]) -> list[Row]:
        """Blank rows are passed over; a row with one word alone names a player for those below."""
        result, group = [], ""
        for number, row in cells:
            said = {key: cell for key, cell in row.items() if cell}
            if not said:
                continue
            if len(said) == 1 and self._rig(next(iter(said.values()))) is not None:
                group = next(iter(said.values()))
                continue
            result.append(self._row(number, {"player": group, **said} if group else said))
        return result

    def _row(self, number: int, cells: dict[str, str]) -> Row:
        row = Row(number, cells)
        fields = self._read(row)
        row.entry = self._entry(row, fields)
        row.rig = row.entry.rig if row.entry else self._rig(cells.get("player", ""))
        if row.rig is None:
            said = cells.get("player", "")
            row.errors["player"] = (
                f"Nobody called “{said}” has a rig here." if said else "Whose input is this?"
            )
        if row.entry is None and not fields.get("name"):
            row.errors["name"] = "A new input needs a name."
        if not row.errors and row.rig is not None:
            self._propose(row, fields)
        return row

    def _read(self, row: Row) -> dict[str, Any]:
        fields: dict[str, Any] = {}
        for key, cell in row.cells.items():
            if key == "player":
                continue
            try:
                fields |= self._device(cell) if key == "device" else BY_KEY[key].read(cell)
            except ValueError as error:
                row.errors[key] = str(error)
        return fields

    def _device(self, cell: str) -> dict[str, Any]:
        device = self.devices.get(cell.casefold())
        if device is None:
            raise ValueError(f"No microphone or DI called “{cell}” is in the catalogue.")
        return {"device": str(device.pk)}

    def _rig(self, said: str) -> Rig | None:
        """A rig by its own name, or the first (main before others) of a player or instrument."""
        said = said.casefold().strip()
        named = [rig for rig in self.rigs if rig.name.casefold() == said]
        of_player = [rig for rig in self.rigs if said and said in _names(rig.player)]
        main = [rig for rig in of_player if rig.variant == Rig.Variant.MAIN]
        return next(iter([*named, *main, *of_player]), None)

    def _entry(self, row: Row, fields: dict[str, Any]) -> Input | None:
        """The input meant: by name within the rig, else by channel number; each at most once."""
        rig = self._rig(row.cells.get("player", ""))
        free = [entry for entry in self.inputs if str(entry.pk) not in self.taken]
        if rig is not None:
            free = [entry for entry in free if entry.rig_id == rig.pk]
        name, number = str(fields.get("name", "")).casefold(), fields.get("number")
        by_name = [entry for entry in free if name and entry.name.casefold() == name]
        by_number = [entry for entry in free if number is not None and entry.number == number]
        both = [entry for entry in by_name if entry in by_number]
        alone = by_number if not name or rig is None else []
        found = next(iter([*both, *by_name, *alone]), None)
        if found is not None:
            self.taken.add(str(found.pk))
        return found

    def _propose(self, row: Row, fields: dict[str, Any]) -> None:
        if row.entry is None:
            row.edit = Add(str(uuid4()), "input", fields)
            row.changes = [
                (column.heading, "", row.cells[column.key])
                for column in COLUMNS
                if column.key in row.cells and column.key != "player"
            ]
            return
        now = {name: plain_value(_value(row.entry, name)) for name in fields}
        moved = {name: v for name, v in fields.items() if plain_value(v) != now[name]}
        if moved:
            row.edit = Set(str(row.entry.pk), "input", moved)
            row.changes = [
                (column.heading, show(column.key, row.entry), row.cells[column.key])
                for column in COLUMNS
                if column.key in row.cells and _touches(column.key, moved)
            ]


def _names(player: Player) -> set[str]:
    return {player.name.casefold(), player.instrument.casefold()}


def _value(entry: Input, name: str) -> Any:
    return entry.device_id if name == "device" else getattr(entry, name)


def _touches(key: str, moved: dict[str, Any]) -> bool:
    return key in moved or f"{key}_m" in moved or f"{key}_unit" in moved
