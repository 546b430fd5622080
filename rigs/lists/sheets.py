"""Grids of cells to and from CSV and XLSX, whatever a spreadsheet has done to them. Pure."""

from __future__ import annotations

import csv
import io
import re
import zipfile
import zlib
from collections.abc import Sequence
from datetime import date, datetime
from typing import Any, NamedTuple

import openpyxl
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from openpyxl.utils.exceptions import InvalidFileException

from core.guests.left_out import given_out
from core.text import printable
from rigs.lists.columns import guess

Grid = list[list[str]]

# More than any list has; what is beyond would only cost time and memory.
MAX_ROWS, MAX_COLUMNS, MAX_CELL = 10_000, 100, 4_000
# A workbook is packed; a small file can hold more than any list and fill the memory.
MAX_UNPACKED = 200 * 1024 * 1024
# A spreadsheet runs a cell that begins like this; an apostrophe in front makes it text again.
_STARTS_FORMULA = ("=", "+", "-", "@", "\t", "\r")
# ISO/IEC 29500-1, 22.9.2.19: how a workbook keeps characters that XML cannot, and “_x” itself.
_ESCAPED = re.compile(r"_x([0-9A-Fa-f]{4})_")
_NUMBER = re.compile(r"[-+]?\d+(?:[.,]\d+)?")


def safe(cell: str) -> str:
    """`cell` so that no spreadsheet runs it. Plain numbers are left alone."""
    risky = cell.startswith(_STARTS_FORMULA) and not _NUMBER.fullmatch(cell)
    return f"'{cell}" if risky or cell.startswith("'") else cell


def unsafe(cell: str) -> str:
    """The cell that `safe` was given. An apostrophe that a stranger began a word with stays."""
    return cell[1:] if cell.startswith("'") and cell[1:2] in (*_STARTS_FORMULA, "'") else cell


def write_csv(rows: Sequence[Sequence[str]]) -> bytes:
    """UTF-8 with a byte-order mark, without which spreadsheets misread accents."""
    out = io.StringIO(newline="")
    cells = given_out([list(row) for row in rows])
    csv.writer(out).writerows([[safe(printable(cell)) for cell in row] for row in cells])
    return out.getvalue().encode("utf-8-sig")


class Book(NamedTuple):
    """The sheet that is read, and the names of others that hold something."""

    grid: Grid
    left_out: list[str]


def read(name: str, data: bytes) -> Grid:
    """The rows of `read_book`."""
    return read_book(name, data).grid


def read_book(name: str, data: bytes) -> Book:
    """Rows of trimmed text cells; of a workbook those of the sheet whose headings are known best.

    Raises ValueError, in words for a form, for what is no list.
    """
    if not data:
        raise ValueError(_("The file is empty."))
    if data[:2] == b"PK":
        sheets = _read_xlsx(data)
    else:
        sheets = {name: [[unsafe(cell.strip()) for cell in row] for row in _read_csv(name, data)]}
    filled = {
        title: [[printable(cell).strip() for cell in row] for row in rows]
        for title, rows in sheets.items()
        if any(printable(cell).strip() for row in rows for cell in row)
    }
    if not filled:
        raise ValueError(_("The file holds no text."))
    best = max(filled, key=lambda title: max(_scores(filled[title])))
    return Book(_limited(filled[best]), [title for title in filled if title != best])


def _read_csv(name: str, data: bytes) -> Grid:
    # Text has no zero bytes unless it is UTF-16, which its byte-order mark tells.
    if b"\x00" in data[:4096] and not data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise ValueError(_("“{name}” is neither CSV nor XLSX.").format(name=name))
    text = _decode(data)
    sample = text[:8192]
    # Locales differ in what separates cells; the mark that most lines have is taken.
    delimiter = max(",;\t|", key=lambda mark: sum(mark in line for line in sample.splitlines()))
    # A ditto mark is a quote that nothing closes; it would swallow all cells up to the next one.
    dittos = delimiter == "\t" and re.search(r'(?m)(?:^|\t)"(?=\t|\r|$)', text)
    try:
        source = io.StringIO(text, newline="")
        if dittos:
            return list(csv.reader(source, delimiter=delimiter, quoting=csv.QUOTE_NONE))
        rows = list(csv.reader(source, delimiter=delimiter))
    except csv.Error as error:
        raise ValueError(
            _("“{name}” cannot be read as CSV: {error}.").format(name=name, error=error)
        ) from None
    return rows


def _decode(data: bytes) -> str:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return data.decode("utf-16", errors="replace")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        # Spreadsheets of western Europe save CSV in this code page unless told otherwise.
        return data.decode("cp1252", errors="replace")


def _read_xlsx(data: bytes) -> dict[str, Grid]:
    """The rows of each sheet by its name."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            # Before openpyxl unpacks anything: the directory of the package states the sizes.
            if sum(part.file_size for part in packed.infolist()) > MAX_UNPACKED:
                raise ValueError(TOO_LARGE)
        book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=True)
        sheets = {sheet.title: _rows_of(sheet) for sheet in book.worksheets}
    except _BROKEN as error:
        if str(error) == str(TOO_LARGE):
            raise
        raise ValueError(_("The file cannot be read as XLSX. Save it again, or as CSV.")) from None
    return sheets


def _rows_of(sheet: Any) -> Grid:
    rows = sheet.iter_rows(max_row=MAX_ROWS + 50, max_col=MAX_COLUMNS + 1, values_only=True)
    return [_without_tail([_text(cell) for cell in row]) for row in rows]


TOO_LARGE = gettext_lazy(
    "The workbook holds more than an input list can. Save the list alone, or as CSV."
)
# What openpyxl, the packing and the XML in it raise for what is no workbook.
_BROKEN = (
    InvalidFileException,
    zipfile.BadZipFile,
    zlib.error,
    SyntaxError,
    KeyError,
    ValueError,
    IndexError,
    TypeError,
    AttributeError,
    OSError,
    EOFError,
    RuntimeError,
)


def _without_tail(row: list[str]) -> list[str]:
    while row and not row[-1]:
        row.pop()
    return row


def _text(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    # Workbooks keep all numbers as floating point; channel 12 must not become 12.0.
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    if isinstance(value, datetime | date):
        return value.isoformat()
    return _ESCAPED.sub(lambda known: chr(int(known[1], 16)), str(value))


def _limited(rows: Grid) -> Grid:
    """Raises ValueError for what is more than any list: cut off in silence, it would be lost."""
    # Formatted but empty rows below a list are common, and do not count towards the limit.
    while rows and not any(cell.strip() for cell in rows[-1]):
        rows.pop()
    if len(rows) > MAX_ROWS + 20:
        raise ValueError(_("The list has more than {max_rows} rows.").format(max_rows=MAX_ROWS))
    for number, row in enumerate(rows, start=1):
        if any(row[MAX_COLUMNS:]):
            raise ValueError(
                _("Row {number} has more than {max_columns} columns.").format(
                    number=number, max_columns=MAX_COLUMNS
                )
            )
        if any(len(cell) > MAX_CELL for cell in row):
            raise ValueError(
                _("A cell of row {number} holds more than {max_cell} characters.").format(
                    number=number, max_cell=MAX_CELL
                )
            )
    return [row[:MAX_COLUMNS] for row in rows]


def find_header(grid: Grid) -> int:
    """The row that names the columns: of the first 20 the one whose headings we know best.

    Raises ValueError if no row has at least two that we know.
    """
    scores = _scores(grid)
    best = max(range(len(scores)), key=lambda index: (scores[index], -index))
    if scores[best] < 2:
        raise ValueError(
            _(
                "No row of the list names its columns. It needs headings such as Channel, Name, "
                "Player."
            )
        )
    return best


def _scores(grid: Grid) -> list[int]:
    return [len(guess(row)) for row in grid[:20]]


def find_headings(grid: Grid) -> tuple[list[str], int]:
    """The headings, and the index of the first row below them.

    Headings over two rows, as where “Preamp” is merged above “Gain” and “Pad”, are read as one:
    the lower says it more closely. Raises ValueError as `find_header` does.
    """
    upper, lower = _heading_span(grid)
    above, below = grid[upper], grid[lower]
    wide = max(len(above), len(below))
    cells = [row + [""] * (wide - len(row)) for row in (above, below)]
    return [low or high for high, low in zip(*cells, strict=True)], lower + 1


def heading_rows(grid: Grid) -> int:
    """How many rows name the columns, one or two. Raises ValueError as `find_header` does."""
    upper, lower = _heading_span(grid)
    return lower - upper + 1


def _heading_span(grid: Grid) -> tuple[int, int]:
    at = find_header(grid)
    upper, lower = (at - 1, at) if at and _only_headings(grid[at - 1]) else (at, at)
    if lower + 1 < len(grid) and _only_headings(grid[lower + 1]):
        upper, lower = lower, lower + 1
    return upper, lower


def _only_headings(row: list[str]) -> bool:
    """Whether all that stands in the row are headings we know."""
    filled = sum(bool(cell) for cell in row)
    return filled > 0 and len(guess(row)) == filled
