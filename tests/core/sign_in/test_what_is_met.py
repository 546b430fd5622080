"""The table of docs/security.md names tests and code that are there, and one answer a row.

Whether a row is true no program can say; that what it points at went away can.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from django.utils.module_loading import import_string

ROOT = Path(__file__).resolve().parents[3]
PAGE = (ROOT / "docs/security.md").read_text()
ROWS = [
    [cell.strip() for cell in line.strip("|").split("|")]
    for line in PAGE.splitlines()
    if re.match(r"\| \d+\.\d+\.\d+", line)
]
ANSWERS = {"yes", "partly", "no", "none of it", "deployment"}


def test_each_row_has_one_answer_and_says_why_where_it_is_not_met() -> None:
    assert len(ROWS) > 120
    wrong = [row for row in ROWS if len(row) != 4 or row[2] not in ANSWERS]
    assert wrong == []
    assert [row[0] for row in ROWS if row[2] in ("partly", "no") and not row[3]] == []


def test_no_point_stands_twice() -> None:
    points = [point for row in ROWS for point in re.split(r",\s*", row[0])]
    assert len(points) == len(set(points))


@pytest.mark.parametrize(
    "path", sorted(set(re.findall(r"\b(?:tests|core|rigs|notes)/[\w/.]*\w", PAGE)))
)
def test_what_it_points_at_is_there(path: str) -> None:
    assert (ROOT / path).exists()


@pytest.mark.parametrize("name", sorted(set(re.findall(r"`(core\.[\w.]+)`", PAGE))))
def test_what_it_names_can_be_imported(name: str) -> None:
    import_string(name)
