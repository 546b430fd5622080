"""What became of every cell of a list: used, asked about, or named as not used. No queries.

Nothing of a file is dropped in silence: each cell that is not empty has one of the three fates.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from enum import StrEnum
from typing import NamedTuple

from django.utils.translation import gettext as _
from openpyxl.utils import get_column_letter

from core.languages.words import each_of
from rigs.list_import.layout import Kind, Line
from rigs.list_import.matching import ImportRow
from rigs.list_import.services import Preview
from rigs.lists.columns import DASHES
from rigs.models import ListImport

SAMPLES = 4  # of the cells of a column, beside its heading


class Fate(StrEnum):
    USED = "used"
    ASKED = "asked"
    NOT_USED = "not used"


class Cell(NamedTuple):
    """A cell that is not empty; `row` is its number in the file, `column` counts from 0."""

    row: int
    column: int
    text: str
    fate: Fate


class LeftRow(NamedTuple):
    """A row of which nothing becomes an input, and why."""

    number: int
    text: str
    why: str


class Account:
    """The fates of the cells of one list as it would be read now."""

    def __init__(self, list_import: ListImport, preview: Preview) -> None:
        self.list_import, self.preview = list_import, preview
        self.mapping = {int(index): key for index, key in list_import.mapping.items()}
        self._rows: dict[int, list[ImportRow]] = defaultdict(list)
        for row in preview.rows:
            self._rows[row.number].append(row)
        self.cells = [*self._above(), *(c for line in preview.lines for c in self._of(line))]

    @property
    def count(self) -> Counter[str]:
        return Counter(str(cell.fate) for cell in self.cells)

    @property
    def used(self) -> int:
        return self.count[Fate.USED]

    @property
    def asked(self) -> int:
        return self.count[Fate.ASKED]

    @property
    def not_used(self) -> int:
        return self.count[Fate.NOT_USED]

    @property
    def rows_asked(self) -> int:
        return len({row.number for row in self.preview.faulty})

    @property
    def left_columns(self) -> list[int]:
        """Columns with cells that are not used, counted from 0."""
        rows = [self.list_import.headings, *self.list_import.rows]
        filled = {column for row in rows for column, text in enumerate(row) if text}
        return sorted(filled - self.mapping.keys())

    @property
    def left_rows(self) -> list[LeftRow]:
        """Titles, spare lines, remarks of the sheet, and rows that somebody left out."""
        titles = self.list_import.above[: self._titles]
        rows = [
            LeftRow(number, " · ".join(filter(None, row)), _("above the headings"))
            for number, row in enumerate(titles, start=1)
            if any(row)
        ]
        for line in self.preview.lines:
            parts = self._rows[line.number]
            if line.kind is Kind.ASIDE:
                rows.append(LeftRow(line.number, line.text, _(line.why)))
            elif parts and all(row.left_out for row in parts):
                rows.append(LeftRow(line.number, line.text, _("left out")))
        return rows

    def samples(self, column: int) -> str:
        """The first few different cells of a column, for somebody to tell what it is."""
        cells = dict.fromkeys(
            row[column] for row in self.list_import.rows if column < len(row) and row[column]
        )
        first = list(cells)[:SAMPLES]
        return each_of(first) + (" …" if len(cells) > len(first) else "")

    @property
    def _titles(self) -> int:
        return len(self.list_import.above) - self.list_import.heading_rows

    def _above(self) -> Iterator[Cell]:
        for number, row in enumerate(self.list_import.above, start=1):
            for column, text in enumerate(row):
                is_used = number > self._titles and column in self.mapping
                if text:
                    yield Cell(number, column, text, Fate.USED if is_used else Fate.NOT_USED)

    def _of(self, line: Line) -> Iterator[Cell]:
        for column, text in line.raw.items():
            yield Cell(line.number, column, text, self._fate(line, column, text))

    def _fate(self, line: Line, column: int, text: str) -> Fate:
        if line.kind is Kind.GROUP:
            return Fate.USED
        key = self.mapping.get(column)
        if line.kind is Kind.ASIDE or key is None:
            return Fate.NOT_USED
        rows = self._rows[line.number]
        if rows and all(row.left_out for row in rows):
            return Fate.NOT_USED
        if any(key in row.errors or row.waits for row in rows):
            return Fate.ASKED
        if self._is_passed_over(key, rows) or not line.cells.get(key):
            return Fate.NOT_USED
        # A dash is read, too: it says that there is nothing.
        if text.casefold() in DASHES or any(key in row.read for row in rows):
            return Fate.USED
        return Fate.ASKED

    def _is_passed_over(self, key: str, rows: Sequence[ImportRow]) -> bool:
        """What is the same at every show, and a device that somebody left out."""
        if key == "device" and any(plan.device is None for row in rows for plan in row.devices):
            return True
        return any(key in row.passed_keys for row in rows)


def name_of(list_import: ListImport, column: int) -> str:
    """“F · MON”, or “A, no heading”: a column as a spreadsheet shows it."""
    letter, heading = get_column_letter(column + 1), " ".join(list_import.headings[column].split())
    return f"{letter} · {heading}" if heading else _("{letter}, no heading").format(letter=letter)
