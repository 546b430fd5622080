"""The cells of a list that somebody has to mend, each with the text that stands there. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from django.utils.translation import gettext as _

from rigs.list_import.matching import ImportRow
from rigs.list_import.services import columns_of
from rigs.models import ListImport

# What is wrong with two cells together is mended at both.
# Rows that a page asks about at once; the others follow once these are mended.
MOST_ASKED = 60
TOGETHER = ("high_pass_hz", "low_pass_hz")


class AskedCell(NamedTuple):
    """One field of the page: its name, heading, the text there is, and what is wrong with it."""

    name: str
    heading: str
    text: str
    message: str


class AskedRow(NamedTuple):
    """A row with what it is called, and whether nothing of it is taken before it is mended."""

    number: int
    title: str
    cells: list[AskedCell]
    waits: bool


def asked_of(rows: Iterable[ImportRow], list_import: ListImport) -> list[AskedRow]:
    """One for each row of the file, though it may stand for several inputs."""
    headings = {column.key: _(column.heading) for column in columns_of(list_import)}
    by_number: dict[int, AskedRow] = {}
    for row in rows:
        asked = by_number.get(row.number)
        if asked is None and len(by_number) == MOST_ASKED:
            break
        if asked is None:
            title = row.stated.get("name") or " · ".join(row.stated.values())
            asked = by_number[row.number] = AskedRow(row.number, title, [], row.waits)
        there = {cell.name for cell in asked.cells}
        for key, message in row.errors.items():
            for field in TOGETHER if key == "together" else (key,):
                name = f"cell-{row.number}-{field}"
                if name not in there and field in headings:
                    text = row.stated.get(field, "")
                    asked.cells.append(AskedCell(name, headings[field], text, message))
    return list(by_number.values())
