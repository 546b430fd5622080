"""A grid of cells as an XLSX workbook. Pure.

openpyxl writes the package; the rows of its one sheet are put in as text (ISO/IEC 29500-1, 18.3.1.4
and 18.3.1.53, inline strings), because an object for each cell takes most of the time of long
lists.
"""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Iterator, Sequence
from xml.sax.saxutils import escape

import openpyxl
from openpyxl.utils import get_column_letter

from core.guests.left_out import given_out
from core.text import printable

_SHEET = "xl/worksheets/sheet1.xml"
# ISO/IEC 29500-1, 22.9.2.19: a spreadsheet would read “_x000D_” as a character of that number.
_ESCAPED = re.compile(r"_(?=x[0-9A-Fa-f]{4}_)")
# openpyxl writes an empty element in one way with lxml, in another without.
_EMPTY = re.compile(
    r'(.*)<dimension ref="A1:A1"\s*/>(.*)<sheetData\s*(?:/>|></sheetData>)(.*)', re.DOTALL
)
_WIDEST = 60  # characters: what is longer wraps in the reader's own way


def write_xlsx(rows: Sequence[Sequence[str]], title: str) -> bytes:
    """Every cell a text, so that nothing is run and nothing turns into a date."""
    rows, title = given_out([list(row) for row in rows]), given_out(title)
    empty = io.BytesIO()
    _book(rows, title).save(empty)
    out = io.BytesIO()
    with (
        zipfile.ZipFile(empty) as source,
        zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as target,
    ):
        for name in source.namelist():
            data = source.read(name)
            target.writestr(name, _filled(data, rows) if name == _SHEET else data)
    return out.getvalue()


def _book(rows: Sequence[Sequence[str]], title: str) -> openpyxl.Workbook:
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = re.sub(r"[\[\]:*?/\\']", " ", printable(title))[:31] or "List"
    sheet.freeze_panes = "A2"
    for index in range(max((len(row) for row in rows), default=0)):
        widest = max(len(row[index]) for row in rows if index < len(row))
        sheet.column_dimensions[get_column_letter(index + 1)].width = min(_WIDEST, widest + 3)
    return book


def _filled(sheet: bytes, rows: Sequence[Sequence[str]]) -> bytes:
    wide = max((len(row) for row in rows), default=1) or 1
    last = f"{get_column_letter(wide)}{max(1, len(rows))}"
    before, between, after = _EMPTY.fullmatch(sheet.decode()).groups()  # type: ignore[union-attr]
    data = f"<sheetData>{''.join(_rows(rows, wide))}</sheetData>"
    return f'{before}<dimension ref="A1:{last}"/>{between}{data}{after}'.encode()


def _rows(rows: Sequence[Sequence[str]], wide: int) -> Iterator[str]:
    letters = [get_column_letter(index) for index in range(1, wide + 1)]
    for number, row in enumerate(rows, start=1):
        cells = "".join(
            f'<c r="{letter}{number}" t="inlineStr"><is><t xml:space="preserve">{_text(cell)}</t>'
            "</is></c>"
            for letter, cell in zip(letters, row, strict=False)
            if cell
        )
        yield f'<row r="{number}">{cells}</row>'


def _text(cell: str) -> str:
    clean = _ESCAPED.sub("_x005F_", printable(cell))
    return escape(clean, {"\r": "&#13;"})
