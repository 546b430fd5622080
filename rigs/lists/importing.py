"""Bring a list in: keep what was uploaded, show what it would do, do it once confirmed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction

from core import clock
from core.models import Production, User
from rigs.lists.columns import BY_KEY, guess
from rigs.lists.matching import Matcher, Row
from rigs.lists.sheets import find_header, read
from rigs.models import ListImport, Revision
from rigs.revisions.reasons import Reason
from rigs.revisions.record import record


@dataclass(frozen=True, slots=True)
class Preview:
    """What the list would do, row by row."""

    rows: list[Row]

    @property
    def changing(self) -> list[Row]:
        return [row for row in self.rows if row.edit is not None]

    @property
    def faulty(self) -> list[Row]:
        return [row for row in self.rows if row.errors]

    @property
    def unchanged(self) -> int:
        return len(self.rows) - len(self.changing) - len(self.faulty)


def bring(*, production: Production, by: User, name: str, data: bytes) -> ListImport:
    """Keep the file's cells and our guess at its columns. Raises ValueError for what is no list."""
    grid = read(name, data)
    header = find_header(grid)
    return ListImport.objects.create(
        production=production,
        brought_by=by,
        file_name=name[:200],
        headings=grid[header],
        rows=grid[header + 1 :],
        first_row=header + 2,
        mapping={str(index): key for index, key in guess(grid[header]).items()},
    )


def remap(*, brought: ListImport, mapping: dict[str, str]) -> None:
    """Say anew which heading is which column. Raises ValidationError for a column named twice."""
    used = [key for key in mapping.values() if key]
    twice = next((key for key in used if used.count(key) > 1), None)
    if twice:
        heading = BY_KEY[twice].heading
        raise ValidationError(f"Two columns cannot both be “{heading}”.")
    brought.mapping = {index: key for index, key in mapping.items() if key in BY_KEY}
    brought.save(update_fields=["mapping"])


def preview(brought: ListImport) -> Preview:
    return Preview(Matcher(brought.production).rows(_cells(brought)))


def _cells(brought: ListImport) -> Iterator[tuple[int, dict[str, str]]]:
    for number, row in enumerate(brought.rows, start=brought.first_row):
        yield (
            number,
            {
                key: row[int(index)] if int(index) < len(row) else ""
                for index, key in brought.mapping.items()
            },
        )


@transaction.atomic
def apply(*, brought: ListImport, by: User, reason: Reason) -> list[Revision]:
    """Do what the preview shows, faulty rows left out: one change for each rig, all or nothing.

    Raises ReasonRequired, Conflict and ValidationError like any other change.
    """
    by_rig: dict[UUID, list[Row]] = {}
    for row in preview(brought).changing:
        if row.rig is not None:
            by_rig.setdefault(row.rig.pk, []).append(row)
    done = []
    for rows in by_rig.values():
        rig = rows[0].rig
        assert rig is not None  # noqa: S101 - only rows with a rig are grouped
        edits = [row.edit for row in rows if row.edit is not None]
        revision = record(rig, edits, author=by, base=rig.head_number, reason=reason)
        if revision is not None:
            done.append(revision)
    brought.applied_at = clock.now()
    brought.save(update_fields=["applied_at"])
    return done
