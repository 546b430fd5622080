"""What a row of an imported list would change: which input it means, and what in it is wrong."""

from __future__ import annotations

import copy
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, ClassVar
from uuid import UUID, uuid4

from django.core.exceptions import ValidationError

from core.models import Player, Production
from rigs.changes.edits import Add, Edit, Set
from rigs.lists.columns import BY_KEY, DASHES, Fields, SheetColumn, show
from rigs.lists.input_list import inputs_of
from rigs.models import Device, Input, Rig
from rigs.models.parts import plain_value
from rigs.models.rigs import VARIANTS_IN_ORDER
from rigs.revisions.swaps import known
from rigs.swaps import FIELDS, open_swaps

_VARIANTS = [variant for variant, _ in Rig.Variant.choices]
_IDS = frozenset({"device"})  # what the matcher itself looks up need not be checked again


@dataclass(slots=True)
class ImportRow:
    """One row of the file and what it would do. `changes` is empty if it does nothing."""

    number: int  # of the row in the file
    cells: dict[str, str]
    errors: dict[str, str] = field(default_factory=dict)
    rig: Rig | None = None
    entry: Input | None = None  # the input it means; None for a new one
    edit: Edit | None = None  # of the rig; None in the list of a show
    values: Fields = field(default_factory=dict)  # in the list of a show: fields of ShowInput
    changes: list[tuple[str, str, str]] = field(default_factory=list)  # heading, old, new
    passed_over: list[str] = field(default_factory=list)  # sentences: what is not taken over
    to_mind: list[str] = field(default_factory=list)  # sentences: what was set for the old device

    @property
    def is_new(self) -> bool:
        return isinstance(self.edit, Add)


class Matcher:
    """Knows the production's rigs, inputs and devices; a fixed number of queries."""

    columns: ClassVar[Mapping[str, SheetColumn]] = BY_KEY
    # Whether a channel alone says which input another name is for.
    renames: ClassVar[bool] = True
    # What of a swap's doubts can be set along with it.
    settles: ClassVar[Collection[str]] = FIELDS

    def __init__(self, production: Production) -> None:
        rigs = Rig.objects.filter(production=production, retired=False).select_related("player")
        self.rigs = list(rigs.order_by("player__position", VARIANTS_IN_ORDER, "name"))
        self.devices: dict[str, Device] = {}
        for device in Device.objects.live().filter(production=production):
            self.devices.setdefault(device.name.casefold(), device)
            self.devices[str(device).casefold()] = device
        self.device_of = {device.pk: device for device in self.devices.values()}
        # A name or a channel that several rigs have means that of the rig that comes first.
        inputs = inputs_of(production, _VARIANTS)
        self.inputs = sorted(inputs, key=lambda entry: not self.is_first(entry.rig))
        self.taken: set[UUID] = set()
        self._meant: dict[str, Rig | None] = {}
        self._by_name = self._index(lambda entry: [entry.name.casefold()])
        self._by_number = self._index(self.channels)

    def _index(self, keys: Any) -> dict[tuple[UUID | None, Any], list[Input]]:
        """Inputs by rig and key, and by key alone."""
        index: dict[tuple[UUID | None, Any], list[Input]] = defaultdict(list)
        for entry in self.inputs:
            for key in keys(entry):
                index[entry.rig_id, key].append(entry)
                index[None, key].append(entry)
        return index

    def is_first(self, rig: Rig) -> bool:
        """Whether `rig` is meant before others of its player."""
        return bool(rig.variant == Rig.Variant.MAIN)

    @property
    def missing(self) -> int:
        """How many inputs of the rigs that come first no row has meant."""
        return sum(e.pk not in self.taken for e in self.inputs if self.is_first(e.rig))

    def channels(self, entry: Input) -> Sequence[int]:
        """The channel numbers by which a row may mean `entry`."""
        return [] if entry.number is None else [entry.number]

    def rows(self, cells: Iterable[tuple[int, dict[str, str]]]) -> list[ImportRow]:
        """Blank rows are passed over; a row with one word alone names a player for those below,
        and a player's name stands for the rows below that leave it empty, as merged cells do."""
        result, group = [], ""
        for number, row in cells:
            stated = {key: cell for key, cell in row.items() if self._has_value(key, cell)}
            if not stated:
                continue
            alone = next(iter(stated.values())) if len(stated) == 1 else ""
            if alone and self._rig(alone) is not None:
                group = alone
                continue
            player = stated.get("player", "")
            if player and self._rig(player) is not None:
                group = player
            result.append(self._row(ImportRow(number, stated), player or group, carried=not player))
        return result

    def _row(self, row: ImportRow, player: str, *, carried: bool) -> ImportRow:
        fields = self._read(row)
        # Somebody unknown has no input here, whatever its channel.
        if not player or self._rig(player) is not None:
            row.entry = self._entry(self._rig(player), fields)
            # The player was only taken over from a row above, so the input may be somebody else’s.
            if row.entry is None and carried and player:
                row.entry = self._entry(None, fields)
        row.rig = row.entry.rig if row.entry else self._rig(player)
        if row.rig is None:
            row.errors["player"] = (
                f"Nobody called “{player}” has a rig here." if player else "Whose input is this?"
            )
        if not row.errors or row.entry is None:
            self._propose(row, fields)
        return row

    def _has_value(self, key: str, cell: str) -> bool:
        """“–” says no where the answer is yes or no, and nothing elsewhere."""
        return bool(cell) and (self.columns[key].dash_is_no or cell.casefold() not in DASHES)

    def _read(self, row: ImportRow) -> Fields:
        """The cells as values; what a cell cannot be is an error at its column."""
        fields: Fields = {}
        for key, cell in row.cells.items():
            if key == "player":
                continue
            try:
                fields_read = (
                    self._device(cell) if key == "device" else self.columns[key].read(cell)
                )
                self.check(fields_read)
            except ValidationError as error:
                heading = self.columns[key].heading
                row.errors[key] = f"{heading}, “{_short(cell)}”: {' '.join(error.messages)}"
            except ValueError as error:
                row.errors[key] = str(error)
            else:
                fields |= fields_read
        return fields

    def check(self, fields: Fields) -> None:
        """Raises ValidationError for a value that no input can have."""
        for name, value in fields.items():
            if name not in _IDS and value not in (None, ""):
                Input._meta.get_field(name).clean(value, None)  # type: ignore[union-attr]

    def _device(self, cell: str) -> Fields:
        device = self.devices.get(cell.casefold())
        if device is None:
            raise ValueError(f"No microphone or DI called “{cell}” is in the catalogue.")
        return {"device": str(device.pk)}

    def _rig(self, name: str) -> Rig | None:
        """A rig by its own name, or the first of a player or instrument."""
        name = name.casefold().strip()
        if name not in self._meant:
            named = [rig for rig in self.rigs if rig.name.casefold() == name]
            of_player = [rig for rig in self.rigs if name and name in _names(rig.player)]
            first = [rig for rig in of_player if self.is_first(rig)]
            self._meant[name] = next(iter([*named, *first, *of_player]), None)
        return self._meant[name]

    def _entry(self, rig: Rig | None, fields: Fields) -> Input | None:
        """The input meant: by name within the rig, else by channel number; each at most once."""
        where = rig.pk if rig is not None else None
        name, number = str(fields.get("name", "")).casefold(), fields.get("number")
        by_name = self._free(self._by_name, where, name) if name else []
        by_number = self._free(self._by_number, where, number) if number is not None else []
        # Where several inputs have one name, the channel says which of them is meant.
        both = [entry for entry in by_name if entry in by_number] if len(by_name) > 1 else []
        alone = by_number if not name or (self.renames and rig is None) else []
        found = next(iter([*both, *by_name, *alone]), None)
        if found is not None:
            # Two rows never change one input, or the later would silently undo the earlier.
            self.taken.add(found.pk)
        return found

    def _free(self, index: Mapping[Any, list[Input]], where: UUID | None, key: Any) -> list[Input]:
        return [entry for entry in index.get((where, key), ()) if entry.pk not in self.taken]

    def _propose(self, row: ImportRow, fields: Fields) -> None:
        if row.entry is None and not fields.get("name") and "name" not in row.errors:
            row.errors["name"] = "A new input needs a name."
        if row.errors or row.rig is None:
            return
        entry = row.entry or Input(rig=row.rig)
        now = {name: plain_value(_value(entry, name)) for name in fields}
        moved = {name: v for name, v in fields.items() if plain_value(v) != now[name]}
        if row.entry is not None and "device" in moved:
            moved |= self.settled(row, row.entry, moved, fields)
        if row.entry is None:
            row.edit = Add(str(uuid4()), "input", fields)
        elif moved:
            row.edit = Set(str(entry.pk), "input", moved)
        row.changes = self.changed_cells(entry, moved)
        try:
            self._with(entry, moved).tidy()
        except ValidationError as error:
            row.errors["together"] = " ".join(error.messages)
            row.edit, row.changes = None, []

    def settled(self, row: ImportRow, entry: Input, moved: Fields, stated: Fields) -> Fields:
        """What goes along with another device: what the row says of phantom power, pad and gain,
        and safe values for the rest. The row tells why."""
        part, before, after = str(entry.pk), entry.fields(), self._with(entry, moved).fields()
        devices = {str(pk): known(device) for pk, device in self.device_of.items()}
        if entry.device is not None:
            devices[str(entry.device_id)] = known(entry.device)
        fields = {name: stated[name] for name in FIELDS if name in stated}
        for swap in open_swaps({part: before}, {part: after}, devices, {}):
            for doubt in swap.doubts:
                if doubt.field in stated:
                    row.to_mind.append(f"{doubt.why} The list says so.")
                elif doubt.field not in self.settles:
                    row.to_mind.append(doubt.why)
                else:
                    row.to_mind.append(f"{doubt.why} Set for it: {doubt.proposal}.")
                    fields[doubt.field] = doubt.value
        return fields

    def changed_cells(self, entry: Input, moved: Fields) -> list[tuple[str, str, str]]:
        """Heading, old and new cell of each column that `moved` touches; new as it was read."""
        after = self._with(entry, moved)
        return [
            (column.heading, show(key, entry), show(key, after))
            for key, column in BY_KEY.items()
            if any(name in moved for name in column.stored)
        ]

    def _with(self, entry: Input, fields: Fields) -> Input:
        after = copy.copy(entry)
        for name, value in fields.items():
            if name == "device":
                after.device = self.device_of[UUID(str(value))]
            else:
                setattr(after, name, Input._meta.get_field(name).to_python(value))  # type: ignore[union-attr]
        return after


def _names(player: Player) -> set[str]:
    return {player.name.casefold(), player.instrument.casefold()}


def _value(entry: Input, name: str) -> Any:
    return entry.device_id if name == "device" else getattr(entry, name)


def _short(cell: str) -> str:
    return cell if len(cell) <= 40 else f"{cell[:40]}…"
