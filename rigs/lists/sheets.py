"""Grids of cells to and from CSV and XLSX, whatever a spreadsheet has done to them. Pure."""

from __future__ import annotations

import csv
import io
import re
import zipfile
import zlib
from collections.abc import Sequence
from datetime import date, datetime
from typing import Any

import openpyxl
from openpyxl.utils.exceptions import InvalidFileException

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
    csv.writer(out).writerows([[safe(printable(cell)) for cell in row] for row in rows])
    return out.getvalue().encode("utf-8-sig")


def read(name: str, data: bytes) -> Grid:
    """Rows of trimmed text cells. Raises ValueError, in words for a form, for what is no list."""
    if not data:
        raise ValueError("The file is empty.")
    if data[:2] == b"PK":
        grid = _read_xlsx(data)
    else:
        grid = [[unsafe(cell.strip()) for cell in row] for row in _read_csv(name, data)]
    grid = [[printable(cell).strip()[:MAX_CELL] for cell in row[:MAX_COLUMNS]] for row in grid]
    if not any(cell for row in grid for cell in row):
        raise ValueError("The file holds no text.")
    return grid


def _read_csv(name: str, data: bytes) -> Grid:
    # Text has no zero bytes unless it is UTF-16, which its byte-order mark tells.
    if b"\x00" in data[:4096] and not data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise ValueError(f"“{name}” is neither CSV nor XLSX.")
    text = _decode(data)
    sample = text[:8192]
    # Locales differ in what separates cells; the mark that most lines have is taken.
    delimiter = max(",;\t|", key=lambda mark: sum(mark in line for line in sample.splitlines()))
    try:
        rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter))
    except csv.Error as error:
        raise ValueError(f"“{name}” cannot be read as CSV: {error}.") from None
    return _limited(rows)


def _decode(data: bytes) -> str:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return data.decode("utf-16", errors="replace")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        # Spreadsheets of western Europe save CSV in this code page unless told otherwise.
        return data.decode("cp1252", errors="replace")


def _read_xlsx(data: bytes) -> Grid:
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            # Before openpyxl unpacks anything: the directory of the package states the sizes.
            if sum(part.file_size for part in packed.infolist()) > MAX_UNPACKED:
                raise ValueError(TOO_LARGE)
        book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=True)
        sheet = book.worksheets[0]
        rows = [
            _without_tail([_text(cell) for cell in row])
            for row in sheet.iter_rows(max_row=MAX_ROWS + 50, max_col=MAX_COLUMNS, values_only=True)
        ]
    except _BROKEN as error:
        if str(error) == TOO_LARGE:
            raise
        raise ValueError("The file cannot be read as XLSX. Save it again, or as CSV.") from None
    return _limited(rows)


TOO_LARGE = "The workbook holds more than an input list can. Save the list alone, or as CSV."
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
    # Formatted but empty rows below a list are common, and do not count towards the limit.
    while rows and not any(cell.strip() for cell in rows[-1]):
        rows.pop()
    if len(rows) > MAX_ROWS + 20:
        raise ValueError(f"The list has more than {MAX_ROWS} rows.")
    return rows


def find_header(grid: Grid) -> int:
    """The row that names the columns: of the first 20 the one whose headings we know best.

    Raises ValueError if no row has at least two that we know.
    """
    scores = [len(guess(row)) for row in grid[:20]]
    best = max(range(len(scores)), key=lambda index: (scores[index], -index))
    if scores[best] < 2:
        raise ValueError(
            "No row of the list names its columns. It needs headings such as Channel, Name, Player."
        )
    return best


def find_headings(grid: Grid) -> tuple[list[str], int]:
    """The headings, and the index of the first row below them.

    Headings over two rows, as where “Preamp” is merged above “Gain” and “Pad”, are read as one:
    the lower says it more closely. Raises ValueError as `find_header` does.
    """
    at = find_header(grid)
    upper, lower = (at - 1, at) if at and _only_headings(grid[at - 1]) else (at, at)
    if lower + 1 < len(grid) and _only_headings(grid[lower + 1]):
        upper, lower = lower, lower + 1
    above, below = grid[upper], grid[lower]
    wide = max(len(above), len(below))
    cells = [row + [""] * (wide - len(row)) for row in (above, below)]
    return [low or high for high, low in zip(*cells, strict=True)], lower + 1


def _only_headings(row: list[str]) -> bool:
    """Whether all that stands in the row are headings we know."""
    filled = sum(bool(cell) for cell in row)
    return filled > 0 and len(guess(row)) == filled
