"""Grids of cells to and from CSV and XLSX, whatever a spreadsheet has done to them. Pure."""

from __future__ import annotations

import csv
import io
import re
import zipfile
from collections.abc import Sequence
from datetime import date, datetime
from typing import Any

import openpyxl
from openpyxl.utils.exceptions import InvalidFileException

from rigs.lists.columns import guess

Grid = list[list[str]]

MAX_ROWS, MAX_COLUMNS, MAX_CELL = 10_000, 100, 4_000
# XML cannot hold these, and no list means anything by them.
_UNPRINTABLE = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f]")
# A spreadsheet runs a cell that begins like this; an apostrophe in front makes it text again.
_STARTS_FORMULA = ("=", "+", "-", "@", "\t", "\r")
_NUMBER = re.compile(r"[-+]?\d+(?:[.,]\d+)?")


def safe(cell: str) -> str:
    """`cell` so that no spreadsheet runs it. Plain numbers are left alone."""
    risky = cell.startswith(_STARTS_FORMULA) and not _NUMBER.fullmatch(cell)
    return f"'{cell}" if risky or cell.startswith("'") else cell


def unsafe(cell: str) -> str:
    """The cell that `safe` was given."""
    return cell[1:] if cell.startswith("'") else cell


def write_csv(rows: Sequence[Sequence[str]]) -> bytes:
    """UTF-8 with a byte-order mark, without which spreadsheets misread accents."""
    out = io.StringIO(newline="")
    csv.writer(out).writerows([[safe(cell) for cell in row] for row in rows])
    return out.getvalue().encode("utf-8-sig")


def write_xlsx(rows: Sequence[Sequence[str]], title: str) -> bytes:
    """Every cell a text, so that nothing is run and nothing turns into a date."""
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = re.sub(r"[\[\]:*?/\\']", " ", title)[:31] or "List"
    for number, row in enumerate(rows, start=1):
        for column, text in enumerate(row, start=1):
            if text:
                cell = sheet.cell(number, column)
                cell.value = _UNPRINTABLE.sub("", text)
                cell.data_type = "s"
    sheet.freeze_panes = "A2"
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def read(name: str, data: bytes) -> Grid:
    """Rows of trimmed text cells. Raises ValueError, in words for a form, for what is no list."""
    if not data:
        raise ValueError("The file is empty.")
    if data[:2] == b"PK":
        grid = _read_xlsx(data)
    else:
        grid = [[unsafe(cell.strip()) for cell in row] for row in _read_csv(name, data)]
    grid = [[cell.strip()[:MAX_CELL] for cell in row[:MAX_COLUMNS]] for row in grid]
    if not any(cell for row in grid for cell in row):
        raise ValueError("The file holds no text.")
    return grid


def _read_csv(name: str, data: bytes) -> Grid:
    if b"\x00" in data[:4096] and not data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise ValueError(f"“{name}” is neither CSV nor XLSX.")
    text = _decode(data)
    sample = text[:8192]
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
        return data.decode("cp1252", errors="replace")


def _read_xlsx(data: bytes) -> Grid:
    try:
        book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=True)
        sheet = book.worksheets[0]
        rows = [
            _without_tail([_text(cell) for cell in row])
            for row in sheet.iter_rows(max_row=MAX_ROWS + 50, max_col=MAX_COLUMNS, values_only=True)
        ]
    except (InvalidFileException, zipfile.BadZipFile, KeyError, ValueError, IndexError, OSError):
        raise ValueError("The file cannot be read as XLSX. Save it again, or as CSV.") from None
    return _limited(rows)


def _without_tail(row: list[str]) -> list[str]:
    while row and not row[-1]:
        row.pop()
    return row


def _text(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    if isinstance(value, datetime | date):
        return value.isoformat()
    return str(value)


def _limited(rows: Grid) -> Grid:
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
