"""The twelve lists as bytes: in the encoding they come in, or as a workbook with its merges."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import openpyxl

from tests.rigs.list_import.crews.meant import Crew

HERE = Path(__file__).parent


def text_of(crew: Crew) -> str:
    return (HERE / crew.file).read_text(encoding="utf-8")


def grid_of(crew: Crew) -> list[list[str]]:
    """The cells of a list, read by no code of this service."""
    marks = {".tsv": "\t"}.get(Path(crew.file).suffix, ";" if ";" in text_of(crew) else ",")
    if marks == "\t":
        return [line.split("\t") for line in text_of(crew).splitlines()]
    return list(csv.reader(io.StringIO(text_of(crew)), delimiter=marks))


def data_of(crew: Crew) -> bytes:
    if crew.encoding != "xlsx":
        return text_of(crew).encode(crew.encoding)
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    for row in grid_of(crew):
        # As a spreadsheet does: what looks like a number becomes one.
        sheet.append([float(cell) if cell.isdecimal() else cell or None for cell in row])
    for cells in crew.merged:
        sheet.merge_cells(cells)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()
