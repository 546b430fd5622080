"""One cell of a stranger's list, read beyond the letter. Pure.

`rigs.lists.columns` says what a cell of a column is; here stands what crews write besides: where a
microphone stands in the column of the distance, or in the notes; a remark after a no.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from django.utils.translation import gettext as _

from rigs.fields import ValueKind
from rigs.list_import.placement import read_placement
from rigs.lists.columns import Fields, SheetColumn

# Columns in which words about the place stand where the list has no column for the distance.
_WORDS = ("notes", "aimed_at")
_REMARKED = re.compile(
    r"(?P<answer>[^\s!(,;:]+(?:\s+not)?)\s*(?:!+|(?=\()|[,;:])\s*(?P<words>\S.*)"
)
_BARE = re.compile(r"\d+(?:[.,]\d+)?")
_LEAVE = re.compile(r"(?P<what>.*\S)[\s,(]+(?P<leave>or (?:similar|equivalent|equal))\)?\.?", re.I)
_SEVERAL = re.compile(
    r"\s\+\s|\s/\s|\bor\b|\?|\bsame\b|\btb[acd]\b|\bas (?:above|per|s[lrc])\b", re.I
)


def read_cell(column: SheetColumn, cell: str, row: Mapping[str, str]) -> tuple[Fields, str]:
    """What a cell states, and a remark in it for the notes. `row`: all cells of its row, by key.

    Raises ValueError, in words for a form, for what is not understood.
    """
    kind = column.field.kind if column.field else ValueKind.TEXT
    if column.key in _WORDS and "distance" not in row:
        return _read_words(column, cell, row), ""
    if kind is ValueKind.LENGTH:
        return _read_length(column, cell)
    try:
        return column.read(cell), ""
    except ValueError:
        match = _REMARKED.fullmatch(cell) if kind is ValueKind.YES_NO else None
        if match is None:
            raise
        return column.read(match["answer"]), f"{column.heading}: {cell}"


def _read_length(column: SheetColumn, cell: str) -> tuple[Fields, str]:
    if _BARE.fullmatch(cell) and cell.strip("0.,"):
        raise ValueError(
            _("{heading}, “{cell}”: of what? Write {cell} mm, {cell} cm or {cell} in.").format(
                heading=_(column.heading), cell=cell
            )
        )
    try:
        return column.read(cell), ""
    except ValueError:
        fields, rest = read_placement(cell, bare=column.key)
        if not fields or rest:
            raise
        return dict(fields), ""


def _read_words(column: SheetColumn, cell: str, row: Mapping[str, str]) -> Fields:
    """Words, less what of them is a place or a turned polarity."""
    placed, rest = read_placement(cell)
    fields: Fields = dict(placed)
    words = rest if fields else cell
    if "reversed_polarity" not in row and words.strip(" .!") in ("Ø", "ø"):
        fields["reversed_polarity"] = True
        words = ""
    return fields | ({column.key: words} if words else {})


def without_leave(cell: str) -> tuple[str, str]:
    """“Reed or similar” → Reed, and the leave for the notes."""
    match = _LEAVE.fullmatch(cell)
    return (match["what"], cell) if match else (cell, "")


def one_device(cell: str) -> str:
    """The name of one device. Raises ValueError for what names several, or none."""
    if _SEVERAL.search(cell):
        raise ValueError(_("“{cell}”: which one? Name one microphone or DI.").format(cell=cell))
    return cell
