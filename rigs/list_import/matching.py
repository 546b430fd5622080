"""What a row of an imported list would change: which input it means, and what in it is wrong."""

from __future__ import annotations

import copy
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import product
from typing import Any, ClassVar, NamedTuple
from uuid import UUID

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from core.models import Player, Production
from rigs.changes.edits import Add, Edit, Set
from rigs.list_import.cells import one_device, read_cell, without_leave
from rigs.list_import.instruments import instrument_of
from rigs.list_import.layout import Kind, Line
from rigs.list_import.making import (
    LEAVE,
    DevicePlan,
    Making,
    drafted,
    person_and_instrument,
    tells_a_player,
)
from rigs.list_import.several import channels, spread
from rigs.lists.columns import (
    BY_KEY,
    DASHES,
    SOURCES,
    Fields,
    SheetColumn,
    read_out,
    show,
)
from rigs.lists.input_list import inputs_of
from rigs.models import Device, Group, Input, Rig, Source, Unit
from rigs.models.parts import plain_value
from rigs.models.rigs import VARIANTS_IN_ORDER
from rigs.picked_up import names_in, names_of_rig
from rigs.revisions.sources import Choice, chosen_edits, chosen_in
from rigs.revisions.swaps import known
from rigs.swaps import FIELDS, open_swaps

_VARIANTS = [variant for variant, _ in Rig.Variant.choices]
_IDS = frozenset(
    {"device", SOURCES.key}
)  # what the matcher itself looks up need not be checked again


@dataclass(slots=True)
class ImportRow:
    """One input that the file names and what would be done. `changes` is empty if that is nothing.

    A row for several inputs is several of these, with one `number`. A cell with an error is asked
    about; the others are taken, unless the row needs that one.
    """

    number: int  # of the row in the file
    cells: dict[str, str]
    stated: Mapping[str, str] = field(default_factory=dict)  # cells of the row, not yet spread
    errors: dict[str, str] = field(default_factory=dict)
    read: set[str] = field(default_factory=set)  # keys of the cells that were understood
    left_out: str = ""  # why nothing is taken of the row, where somebody decided so
    rig: Rig | None = None
    entry: Input | None = None  # the input it means; None for a new one
    edit: Edit | None = None  # of the rig; None in the list of a show
    more: list[Edit] = field(default_factory=list)  # of what it picks up besides
    values: Fields = field(default_factory=dict)  # in the list of a show: fields of ShowInput
    changes: list[tuple[str, str, str]] = field(default_factory=list)  # heading, old, new
    passed_over: list[str] = field(default_factory=list)  # sentences: what is not taken over
    passed_keys: list[str] = field(default_factory=list)  # of the columns that those are about
    to_mind: list[str] = field(default_factory=list)  # sentences: what was set for the old device
    devices: list[DevicePlan] = field(default_factory=list)  # new ones that it is about
    waits: bool = False  # nothing of it is taken before its errors are mended

    @property
    def is_new(self) -> bool:
        return isinstance(self.edit, Add)


class Picked(NamedTuple):
    """What an input is to pick up: the id of its own unit, and the edits of all else."""

    unit: str | None
    edits: list[Edit]


class Matcher:
    """Knows the production's rigs, inputs and devices; a fixed number of queries."""

    columns: ClassVar[Mapping[str, SheetColumn]] = BY_KEY
    # Whether a channel alone says which input another name is for.
    renames: ClassVar[bool] = True
    # What of a swap's doubts can be set along with it.
    settles: ClassVar[Collection[str]] = FIELDS

    def __init__(self, production: Production, making: Making | None = None) -> None:
        self.making = making
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

    def rows(self, lines: Iterable[Line], *, own: bool = False) -> list[ImportRow]:
        """The inputs of the file. A title names a player for the rows below it, and a player's name
        stands for the rows below that leave it empty, as merged cells do."""
        result: list[ImportRow] = []
        group = ""
        for line in lines:
            if line.kind is Kind.GROUP:
                group = line.title
            if line.kind is not Kind.INPUT:
                continue
            stated = {key: cell for key, cell in line.cells.items() if self._has_value(key, cell)}
            if not stated:
                continue
            player = stated.get("player", "")
            group = player or group
            for row in self._inputs(line, stated, own=own):
                result.append(self._row(row, player or group, carried=not player, own=own))
        if self.making is not None:
            self._finish(self.making, result)
        return result

    def knows(self, text: str) -> bool:
        """Whether `text` names a player or a rig."""
        return self._rig(text) is not None

    def _inputs(self, line: Line, stated: dict[str, str], *, own: bool) -> Iterator[ImportRow]:
        """One for each channel that the row names; one for a row that names none."""
        count = 1 if own else max(1, len(channels(stated.get("number", ""))))
        many: dict[str, list[str]] = {}
        errors: dict[str, str] = {}
        for key, cell in stated.items():
            try:
                many[key] = [cell] if count == 1 else spread(key, cell, count)
            except ValueError as error:
                errors[key] = str(error)
        for at in range(count):
            cells = {key: texts[at] for key, texts in many.items()}
            yield ImportRow(line.number, cells, stated=line.cells, errors=dict(errors))

    def _finish(self, making: Making, rows: list[ImportRow]) -> None:
        making.finish()
        for row in rows:
            if row.rig is not None and row.rig._state.adding:
                row.rig = making.same_rig(row.rig)

    def _row(self, row: ImportRow, player: str, *, carried: bool, own: bool) -> ImportRow:
        fields = self._read(row, own=own)
        rig = self._rig(player)
        # Somebody unknown has no input here, whatever its channel.
        if not player or rig is not None:
            row.entry = self._entry(rig, fields)
        # The player was only taken over from a row above, so the input may be somebody else’s.
        if row.entry is None and carried and player:
            row.entry = self._entry(None, fields, by_channel=rig is not None)
        row.rig = row.entry.rig if row.entry else rig
        if row.rig is None:
            self._plan_rig(row, player, fields)
        if row.rig is not None:
            row.read.add("player")
        elif not row.left_out:
            row.errors["player"] = (
                _("Nobody called “{player}” has a rig here.").format(player=player)
                if player
                else _("Whose input is this?")
            )
        if not row.left_out:
            self._propose(row, fields)
        row.waits = bool(row.errors) and not (row.edit or row.more or row.values)
        return row

    def _plan_rig(self, row: ImportRow, player: str, fields: Fields) -> None:
        """A rig that is made, or that somebody chose for the rows of this player."""
        name = str(fields.get("name", ""))
        told = (
            self._rig(instrument_of(name)) if self.making and not tells_a_player(player) else None
        )
        if told is not None:
            row.rig, row.entry = told, self._entry(told, fields)
            return
        plan = self.making.rig_for(player, name, self.rigs) if self.making and name else None
        if plan is None:
            return
        if plan.do == LEAVE:
            row.left_out = _("The rows of “{name}” are left out.").format(name=player or plan.rig)
        row.rig = plan.rig
        if plan.rig is not None and not plan.makes:
            row.entry = self._entry(plan.rig, fields)

    def _has_value(self, key: str, cell: str) -> bool:
        """“–” says no where the answer is yes or no, and nothing elsewhere."""
        return bool(cell) and (self.columns[key].dash_is_no or cell.casefold() not in DASHES)

    def _read(self, row: ImportRow, *, own: bool) -> Fields:
        """The cells as values; what a cell cannot be is an error at its column."""
        fields: Fields = {}
        remarks: list[str] = []
        for key, cell in row.cells.items():
            if key == "player":
                continue
            column = self.columns[key]
            try:
                if key == "device":
                    read, said = self._device(row, cell)
                elif own:
                    read, said = column.read(cell), ""
                else:
                    read, said = read_cell(column, cell, row.stated)
                self.check(read)
            except ValidationError as error:
                message = " ".join(error.messages)
                row.errors[key] = f"{_(column.heading)}, “{_short(cell)}”: {message}"
            except ValueError as error:
                row.errors[key] = str(error)
            else:
                row.read.add(key)
                fields |= {name: value for name, value in read.items() if name not in fields}
                remarks += [said] if said else []
        if remarks:
            fields["notes"] = "\n".join([*filter(None, [fields.get("notes")]), *remarks])
        for plan in row.devices:
            plan.phantom += [True] if fields.get("phantom") else []
        return fields

    def check(self, fields: Fields) -> None:
        """Raises ValidationError for a value that no input can have."""
        for name, value in fields.items():
            if name not in _IDS and value not in (None, ""):
                Input._meta.get_field(name).clean(value, None)  # type: ignore[union-attr]

    def _device(self, row: ImportRow, cell: str) -> tuple[Fields, str]:
        """The device a cell names, and what it says besides (“or similar”)."""
        name, said = without_leave(cell)
        device = self.devices.get(cell.casefold()) or self.devices.get(name.casefold())
        if device is None and self.making is not None:
            name = one_device(name)
            draft = drafted(name)
            device = self.devices.get(str(draft).casefold()) if draft else None
        if device is None and self.making is not None:
            plan = self.making.device_for(name, self.device_of)
            row.devices.append(plan)
            if plan.do == LEAVE:
                return {}, ""
            device = plan.device
            if device is not None:
                self.device_of[device.pk] = device
        if device is None:
            raise ValueError(
                _("No microphone or DI called “{cell}” is in the catalogue.").format(cell=cell)
            )
        return {"device": str(device.pk)}, said

    def _rig(self, name: str) -> Rig | None:
        """A rig by its own name, or the first of a player or instrument."""
        name = name.casefold().strip()
        if name not in self._meant:
            named = [rig for rig in self.rigs if rig.name.casefold() == name]
            of_player = [rig for rig in self.rigs if name and name in _names(rig.player)]
            if not of_player and not named:
                # “DRUMS (Odd)” is the rig that an earlier list made for Odd.
                person = person_and_instrument(name)[0].casefold()
                of_player = [rig for rig in self.rigs if name and person in _names(rig.player)]
            first = [rig for rig in of_player if self.is_first(rig)]
            self._meant[name] = next(iter([*named, *first, *of_player]), None)
        return self._meant[name]

    def _entry(self, rig: Rig | None, fields: Fields, *, by_channel: bool = True) -> Input | None:
        """The input meant: by name within the rig, else by channel number; each at most once."""
        where = rig.pk if rig is not None else None
        name, number = str(fields.get("name", "")).casefold(), fields.get("number")
        by_name = self._free(self._by_name, where, name) if name else []
        by_number = self._free(self._by_number, where, number) if number is not None else []
        # Where several inputs have one name, the channel says which of them is meant.
        both = [entry for entry in by_name if entry in by_number] if len(by_name) > 1 else []
        alone = by_number if by_channel and (not name or (self.renames and rig is None)) else []
        found = next(iter([*both, *by_name, *alone]), None)
        if found is not None:
            # Two rows never change one input, or the later would silently undo the earlier.
            self.taken.add(found.pk)
        return found

    def _free(self, index: Mapping[Any, list[Input]], where: UUID | None, key: Any) -> list[Input]:
        return [entry for entry in index.get((where, key), ()) if entry.pk not in self.taken]

    def _propose(self, row: ImportRow, fields: Fields) -> None:
        if row.entry is None and not fields.get("name") and "name" not in row.errors:
            row.errors["name"] = _("A new input needs a name.")
        # What an input cannot be without: the rest is taken even where a cell is not understood.
        if row.rig is None or (row.entry is None and "name" in row.errors):
            return
        entry = row.entry or Input(rig=row.rig)
        self._keep_notes(row, entry, fields)
        cell = fields.pop(SOURCES.key, None)
        try:
            picks = self._picked(row, entry, str(cell)) if cell else None
        except ValueError as error:
            row.errors[SOURCES.key] = str(error)
            row.read.discard(SOURCES.key)
            picks = None
        if picks is not None:
            fields["unit"] = picks.unit
        now = {name: plain_value(_value(entry, name)) for name in fields}
        moved = {name: v for name, v in fields.items() if plain_value(v) != now[name]}
        if row.entry is not None and "device" in moved:
            moved |= self.settled(row, row.entry, moved, fields)
        if row.entry is None:
            row.edit = Add(str(entry.pk), "input", fields)
        elif moved:
            row.edit = Set(str(entry.pk), "input", moved)
        row.changes = self.changed_cells(entry, moved)
        if picks is not None:
            row.more = picks.edits
            row.changes.append((_(SOURCES.heading), show(SOURCES.key, entry), str(cell)))
        try:
            self._with(entry, moved).tidy()
        except ValidationError as error:
            row.errors["together"] = " ".join(error.messages)
            row.edit, row.more, row.changes = None, [], []

    @staticmethod
    def _keep_notes(row: ImportRow, entry: Input, fields: Fields) -> None:
        """What was read as a remark stands below the notes there are, once."""
        if "notes" not in fields or "notes" in row.cells or not entry.notes:
            return
        new = str(fields["notes"])
        fields["notes"] = entry.notes if new in entry.notes else f"{entry.notes}\n{new}"

    def _picked(self, row: ImportRow, entry: Input, cell: str) -> Picked | None:
        """What a cell says that an input picks up; None where it does so already.

        Raises ValueError for a name that nothing in the rig has.
        """
        if row.entry is not None and cell == show(SOURCES.key, entry):
            return None
        assert row.rig is not None  # noqa: S101 - the caller has looked
        wanted = self._named_in(row.rig, cell)
        own = entry.unit_id and ("unit", str(entry.unit_id))
        if own not in wanted:
            own = wanted[0] if wanted[0][0] == "unit" else None
        was = self._chosen[str(entry.pk)]
        edits = chosen_edits("source", str(entry.pk), was, [each for each in wanted if each != own])
        unit = own[1] if own else None
        same = unit == (str(entry.unit_id) if entry.unit_id else None)
        return None if same and not edits else Picked(unit, edits)

    @cached_property
    def _chosen(self) -> dict[str, dict[Choice, list[str]]]:
        """What each input picks up beside its own unit. One query, if any list asks."""
        chosen: dict[str, dict[Choice, list[str]]] = defaultdict(dict)
        for source in Source.objects.live().filter(rig__in=self.rigs):
            state = {str(source.pk): source.fields()}
            for choice, parts in chosen_in(state, "source", str(source.input_id)).items():
                chosen[str(source.input_id)].setdefault(choice, []).extend(parts)
        return chosen

    @cached_property
    def _named(self) -> dict[tuple[UUID, str], Choice]:
        """Units and groups by their rig and name, and players. Two queries, if any list asks."""
        named: dict[tuple[UUID, str], Choice] = {}
        for model in (Unit, Group):
            for part in model.objects.live().filter(rig__in=self.rigs):
                key = (part.rig_id, part.name.casefold())
                named.setdefault(key, (model.KIND, str(part.pk)))
        for rig, other in product(self.rigs, {rig.player for rig in self.rigs}):
            if other != rig.player:
                for name in names_of_rig(other.name):
                    named.setdefault((rig.pk, name), ("player", str(other.pk)))
        return named

    def _named_in(self, rig: Rig, cell: str) -> list[Choice]:
        """The units and groups that a cell names. Raises ValueError for what is not there."""
        known = {name: about for (of, name), about in self._named.items() if of == rig.pk}
        return names_in(cell, known, where=f"“{rig}”")

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
                    row.to_mind.append(_("{why} The list says so.").format(why=doubt.why))
                elif doubt.field not in self.settles:
                    row.to_mind.append(doubt.why)
                else:
                    row.to_mind.append(
                        _("{why} Set for it: {proposal}.").format(
                            why=doubt.why, proposal=doubt.proposal
                        )
                    )
                    fields[doubt.field] = doubt.value
        return fields

    def changed_cells(self, entry: Input, moved: Fields) -> list[tuple[str, str, str]]:
        """Heading, old and new cell of each column that `moved` touches; new as it was read."""
        after = self._with(entry, moved)
        return [
            (_(column.heading), read_out(key, entry), read_out(key, after))
            for key, column in BY_KEY.items()
            if any(name in moved for name in column.stored)
        ]

    def _with(self, entry: Input, fields: Fields) -> Input:
        after = copy.copy(entry)
        for name, value in fields.items():
            if name == "device":
                after.device = self.device_of[UUID(str(value))]
            elif name == "unit":
                after.unit_id = UUID(value) if value else None
            else:
                setattr(after, name, Input._meta.get_field(name).to_python(value))  # type: ignore[union-attr]
        return after


def _names(player: Player) -> set[str]:
    return {player.name.casefold(), player.instrument.casefold()}


def _value(entry: Input, name: str) -> Any:
    return getattr(entry, f"{name}_id" if name in ("device", "unit") else name)


def _short(cell: str) -> str:
    return cell if len(cell) <= 40 else f"{cell[:40]}…"
