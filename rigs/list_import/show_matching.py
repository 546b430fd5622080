"""What a row of the list of one show would change: that day's differences, never the rig."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from decimal import Decimal
from typing import ClassVar
from uuid import UUID

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, gettext_noop

from core.languages.words import leading
from core.models import Show
from rigs.list_import.matching import ImportRow, Matcher
from rigs.lists.columns import COLUMNS, SOURCES, Fields, SheetColumn, show, yes_no
from rigs.lists.input_list import ZERO_IS_NOTHING, applied
from rigs.models import Input, Rig, ShowInput
from rigs.models.parts import plain_value
from rigs.swaps import FIELDS

NO_INPUT = gettext_lazy("This row matches no input. Add a new input on its player’s rig first.")


def _used(cell: str) -> Fields:
    return {"absent": not yes_no("used")(cell)["used"]}


DAY_COLUMNS: tuple[SheetColumn, ...] = (
    *COLUMNS,
    SheetColumn("used", gettext_noop("Used"), ("inuse", "usedthatday"), _used, dash_is_no=True),
    SheetColumn(
        "hired_locally",
        gettext_noop("Hired locally"),
        ("hired", "hire", "local", "localhire"),
        yes_no("hired_locally"),
        dash_is_no=True,
    ),
)
_UNITS = {row.unit_field: row.name for row in ShowInput.ROWS if row.is_length}
_FLAGS = {"absent": gettext_noop("Used"), "hired_locally": gettext_noop("Hired locally")}
_HEADINGS = {name: column.heading for column in DAY_COLUMNS for name in column.stored} | _FLAGS


class DayMatcher(Matcher):
    """As for the list of all shows; knows what differs at `show` already, and which rigs play."""

    columns: ClassVar[Mapping[str, SheetColumn]] = {column.key: column for column in DAY_COLUMNS}
    renames: ClassVar[bool] = False
    settles: ClassVar[Collection[str]] = ShowInput.OVERRIDES

    def __init__(
        self, show: Show, differences: Mapping[UUID, ShowInput], playing: Collection[UUID]
    ) -> None:
        self.differences, self.playing = differences, playing
        super().__init__(show.leg.production)

    def is_first(self, rig: Rig) -> bool:
        return rig.pk in self.playing

    def channels(self, entry: Input) -> Sequence[int]:
        """A row may mean that day's channel or the list's."""
        of_day = applied(entry, self.differences.get(entry.pk)).number
        return [n for n in dict.fromkeys([of_day, entry.number]) if n is not None]

    def check(self, fields: Fields) -> None:
        flags = {"absent", "hired_locally"}
        super().check({name: value for name, value in fields.items() if name not in flags})

    def _propose(self, row: ImportRow, fields: Fields) -> None:
        if row.entry is None:
            row.errors["name"] = str(NO_INPUT)
            return
        entry, difference = row.entry, self.differences.get(row.entry.pk)
        day = applied(entry, difference)
        for name, value in fields.items():
            if name in _UNITS:
                continue  # taken along with the length; another unit is no difference
            if name in _FLAGS:
                if value != bool(difference and getattr(difference, name)):
                    row.values[name] = value
            elif plain_value(value) != plain_value(_now(day, name)):
                if name in ShowInput.OVERRIDES:
                    row.values[name] = self._of_day(name, value)
                else:
                    row.passed_over.append(name)
        for unit, length in _UNITS.items():
            if length in row.values:
                row.values[unit] = fields[unit]
        passed = _columns(row.passed_over)
        row.passed_keys = [column.key for column in passed]
        row.passed_over = _sentences(passed)
        if "device" in row.values:
            moved = {"device": fields["device"]}
            fields = fields | self.settled(row, day, moved, fields)
            for name in FIELDS:
                if name in fields:
                    row.values[name] = self._of_day(name, fields[name])
        row.changes = [*self._day_cells(entry, difference, fields, row), *_flags(row.values)]
        self._check_row(row)

    def _of_day(self, name: str, value: object) -> object:
        """As ShowInput keeps it: 0 stands for a pad or a high-pass that is out that day."""
        if name == "device":
            return self.device_of[UUID(str(value))]
        if name in ZERO_IS_NOTHING and value is None:
            return Decimal(0)
        field = ShowInput._meta.get_field(name)
        return field.to_python(value)  # type: ignore[union-attr]

    def _day_cells(
        self, entry: Input, difference: ShowInput | None, fields: Fields, row: ImportRow
    ) -> list[tuple[str, str, str]]:
        moved = {name: fields[name] for name in row.values if name in fields and name not in _FLAGS}
        return self.changed_cells(applied(entry, difference), moved)

    def _check_row(self, row: ImportRow) -> None:
        """What ShowInput itself would refuse, such as a channel above 9999."""
        # Checked here, before anything is written, so that the preview shows the error at its row.
        blank = ShowInput(**row.values)
        try:
            blank.clean_fields(exclude=["show", "input", "by", "by_name", "why", "words"])
        except ValidationError as error:
            for name, messages in error.message_dict.items():
                heading = _(_HEADINGS.get(name, name))
                row.errors[name] = leading(heading, " ".join(messages))
            row.values, row.changes = {}, []


def _now(day: Input, name: str) -> object:
    if name == SOURCES.key:
        return show(name, day)
    return day.device_id if name == "device" else getattr(day, name)


def _flags(values: Fields) -> list[tuple[str, str, str]]:
    flags = []
    for name, heading in _FLAGS.items():
        if name in values:
            yes = values[name] is not (name == "absent")
            flags.append((_(heading), _("no") if yes else _("yes"), _("yes") if yes else _("no")))
    return flags


def _columns(names: list[str]) -> list[SheetColumn]:
    """The columns that fields are of, each once."""
    found = {
        column.key: column
        for name in names
        for column in COLUMNS
        if name in column.stored and column.key != "name"
    }
    return list(found.values())


def _sentences(columns: list[SheetColumn]) -> list[str]:
    """What is the same at every show is changed in the list of all shows."""
    words = _("{heading} is the same at every show.")
    return [words.format(heading=_(column.heading)) for column in columns]
