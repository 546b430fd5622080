"""Columns of the input list that share one on a page and on paper, as rows say. No queries."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from django.utils.translation import gettext as _

from core.languages.words import each_of, number, without_unit
from core.units import format_length
from rigs.fields import NOTES, WHERE, ValueKind
from rigs.lists.columns import COLUMNS, SOURCES, SheetColumn, show
from rigs.models import Input
from rigs.revisions.sources import heard_of
from rigs.wording.placement import placement_words


class ColumnGroup(NamedTuple):
    """A column as it is read: one of the list, or several that belong together."""

    shared: str  # the heading that several have together; empty: each its own
    columns: tuple[SheetColumn, ...]

    @property
    def heading(self) -> str:
        """In the language of the reader."""
        if self.shared:
            return _(self.shared)
        return each_of(without_unit(_(column.heading)) for column in self.columns)

    @property
    def is_placement(self) -> bool:
        """Whether it is the sentence of where a microphone stands."""
        return any(_is_in_sentence(column) for column in self.columns)

    @property
    def is_figure(self) -> bool:
        return all(
            column.field and (column.field.symbol or column.field.kind is ValueKind.PAN)
            for column in self.columns
        )

    @property
    def is_switch(self) -> bool:
        """Whether it is one word, which is not broken."""
        return all(
            column.field and column.field.kind is ValueKind.YES_NO for column in self.columns
        )

    @property
    def needs_heading(self) -> bool:
        """Whether a cell alone, such as “on”, “C” or “12 dB”, would not say what it is of."""
        if self.is_switch:
            return True
        rows = [column.field for column in self.columns if column.field]
        return self.is_figure and not any(row.column and row.column.lead for row in rows)

    @property
    def names_input(self) -> bool:
        """Whether it says which input it is: its channel, its name, its player (no field of it)."""
        fields = [each.field for each in self.columns if each.key != SOURCES.key]
        return any(field is None or field.names_part for field in fields)

    @property
    def is_settings(self) -> bool:
        """Whether it is of the microphone and the desk, beside where it stands and the notes."""
        notes = any(each.field and each.field.group == NOTES for each in self.columns)
        return not (self.names_input or self.is_placement or notes)

    @property
    def varies(self) -> bool:
        """Whether any of it may be another at one show."""
        return any(column.field and column.field.at_shows for column in self.columns)

    def text(self, entry: Input) -> str:
        """What it says of an input; empty where nothing is set."""
        if self.is_placement:
            heard = heard_of(entry).words
            return placement_words(entry.fields(), on=heard or None, lengths=format_length)
        return each_of(_value_text(column, entry) for column in self.columns)


def _is_in_sentence(column: SheetColumn) -> bool:
    return column.key == SOURCES.key or (
        column.field is not None and column.field.phrase is not None
    )


def _value_text(column: SheetColumn, entry: Input) -> str:
    """“HPF 80 Hz”, “on”: with the unit, and nothing where a switch is off."""
    row = column.field
    if row is None:
        return show(column.key, entry)
    if row.kind is ValueKind.YES_NO:
        return _(row.off_on[1]) if getattr(entry, row.name) else ""
    value = getattr(entry, row.name)
    if row.kind is not ValueKind.NUMBER or value is None:
        return show(column.key, entry)
    lead = _(row.column.lead) if row.column and row.column.lead else ""
    return f"{lead} {number(value)} {row.symbol}".strip()


def _shared_heading(column: SheetColumn) -> str:
    row = column.field
    if column.key == SOURCES.key:
        return WHERE
    if row is None:
        return column.heading
    if row.phrase is not None:
        return row.group
    return (row.column.shared if row.column else "") or without_unit(column.heading)


def grouped(columns: Iterable[SheetColumn]) -> list[ColumnGroup]:
    """In the order of the list. Where only a part of what shares a column is there, it is headed
    by its own words."""
    found: dict[str, list[SheetColumn]] = {}
    for column in columns:
        found.setdefault(_shared_heading(column), []).append(column)
    return [
        ColumnGroup(_shared_by(of_it) if len(of_it) == _MEMBERS[heading] else "", tuple(of_it))
        for heading, of_it in found.items()
    ]


def _shared_by(columns: Sequence[SheetColumn]) -> str:
    """Their shared heading; empty where a column has but its own."""
    heading = _shared_heading(columns[0])
    return "" if heading == without_unit(columns[0].heading) else heading


# How many columns share each heading in the whole list: `grouped` compares with this.
_SHARED = [_shared_heading(column) for column in COLUMNS]
_MEMBERS = {heading: _SHARED.count(heading) for heading in _SHARED}
GROUPS: tuple[ColumnGroup, ...] = tuple(grouped(COLUMNS))


class Cell(NamedTuple):
    heading: str
    text: str
    is_figure: bool
    is_switch: bool
    needs_heading: bool

    @property
    def classes(self) -> str:
        """Of the cell on a page: what is aligned, and what a phone leaves out."""
        found = "is-number" if self.is_figure else "is-figure" if self.is_switch else ""
        return f"{found}{'' if self.text else ' is-none'}".strip()


def settings_of(inputs: Sequence[Input]) -> list[tuple[Input, list[Cell]]]:
    """Each input with the cells of its settings. A column that is empty for all is left out."""
    groups = [group for group in GROUPS if group.is_settings]
    texts = [[group.text(entry) for group in groups] for entry in inputs]
    used = [any(column) for column in zip(*texts, strict=True)]
    return [
        (
            entry,
            [
                Cell(group.heading, text, group.is_figure, group.is_switch, group.needs_heading)
                for group, text, there in zip(groups, row, used, strict=True)
                if there
            ],
        )
        for entry, row in zip(inputs, texts, strict=True)
    ]
