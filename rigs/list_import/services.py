"""Import a list: store what was uploaded, show what it would do, do it once confirmed."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from dataclasses import dataclass
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction

from core import clock
from core.models import Production, Show, User
from rigs.changes.reasons import Reason
from rigs.list_import.matching import ImportRow, Matcher
from rigs.list_import.show_matching import DAY_COLUMNS, DayMatcher
from rigs.lists.columns import COLUMNS, SheetColumn, guess, with_unit
from rigs.lists.sheets import find_headings, read
from rigs.models import ListImport, Revision
from rigs.revisions.record import record
from rigs.shows.rigs import played_at
from rigs.shows.services import RETIRED_SHOW, differ, differences_of

MOVED_ON = (
    "Meanwhile somebody changed something that this list is about. "
    "Look at its rows again, then confirm."
)
DONE_ALREADY = "This list is imported already."


@dataclass(frozen=True, slots=True)
class Preview:
    """What the list would do, row by row. `missing` inputs of the list are in no row."""

    rows: list[ImportRow]
    missing: int = 0

    @property
    def changing(self) -> list[ImportRow]:
        return [row for row in self.rows if row.changes]

    @property
    def faulty(self) -> list[ImportRow]:
        return [row for row in self.rows if row.errors]

    @property
    def unchanged(self) -> int:
        return len(self.rows) - len(self.changing) - len(self.faulty)

    @property
    def seen(self) -> str:
        """SHA-256 of what is proposed: whoever confirms names what was looked at."""
        rows = [
            [row.number, str(row.entry.pk) if row.entry else str(row.rig), row.changes]
            for row in self.changing
        ]
        return hashlib.sha256(json.dumps(rows).encode()).hexdigest()


def columns_of(list_import: ListImport) -> tuple[SheetColumn, ...]:
    """The columns a heading may be; the list of a show has two more."""
    return DAY_COLUMNS if list_import.show_id else COLUMNS


def import_list(
    *, production: Production, by: User, name: str, data: bytes, show: Show | None = None
) -> ListImport:
    """Keep the file's cells and our guess at its columns; for one show where `show` is given.

    Raises ValueError for what is no list.
    """
    if show is not None and show.is_retired:
        raise ValueError(RETIRED_SHOW)
    grid = read(name, data)
    headings, first = find_headings(grid)
    return ListImport.objects.create(
        production=production,
        show=show,
        brought_by=by,
        file_name=name[:200],
        headings=headings,
        rows=grid[first:],
        first_row=first + 1,
        mapping={
            str(index): key
            for index, key in guess(headings, DAY_COLUMNS if show else COLUMNS).items()
        },
    )


def remap(*, list_import: ListImport, mapping: dict[str, str]) -> None:
    """Say anew which heading is which column. Raises ValidationError for a column named twice."""
    known = {column.key: column.heading for column in columns_of(list_import)}
    used = [key for key in mapping.values() if key]
    twice = next((key for key in used if used.count(key) > 1), None)
    if twice:
        raise ValidationError(f"Two columns cannot both be “{known.get(twice, twice)}”.")
    list_import.mapping = {index: key for index, key in mapping.items() if key in known}
    list_import.save(update_fields=["mapping"])


def preview(list_import: ListImport) -> Preview:
    """A fixed number of queries, however many rows."""
    if list_import.show is not None:
        show = list_import.show
        matcher: Matcher = DayMatcher(show, differences_of(show), played_at([show])[show.pk])
    else:
        matcher = Matcher(list_import.production)
    rows = matcher.rows(_cells(list_import))
    return Preview(rows, matcher.missing)


def _cells(list_import: ListImport) -> Iterator[tuple[int, dict[str, str]]]:
    columns = [(int(index), key) for index, key in list_import.mapping.items()]
    for number, row in enumerate(list_import.rows, start=list_import.first_row):
        yield (
            number,
            {
                key: with_unit(key, row[index], list_import.headings[index])
                for index, key in columns
                if index < len(row)
            },
        )


def _taken_over(list_import: ListImport, seen: str | None) -> Preview:
    """What is proposed now, if it is what was seen; marks the list as done."""
    # Locked, so that of two confirmations at once the second finds the list done.
    held = ListImport.objects.select_for_update().get(pk=list_import.pk)
    if held.applied_at is not None:
        raise ValidationError(DONE_ALREADY)
    current = preview(list_import)
    if seen is not None and seen != current.seen:
        raise ValidationError(MOVED_ON)
    list_import.applied_at = clock.now()
    list_import.save(update_fields=["applied_at"])
    return current


@transaction.atomic
def apply(
    *, list_import: ListImport, by: User, reason: Reason, seen: str | None = None
) -> list[Revision]:
    """Do what the preview shows, faulty rows left out: one change for each rig, all or nothing.

    `seen` is that of the preview that was confirmed; what has moved on since raises
    ValidationError. Raises ReasonRequired, Conflict and ValidationError like any other change.
    """
    by_rig: dict[UUID, list[ImportRow]] = {}
    for row in _taken_over(list_import, seen).changing:
        if row.rig is not None:
            by_rig.setdefault(row.rig.pk, []).append(row)
    done = []
    for rows in by_rig.values():
        rig = rows[0].rig
        assert rig is not None  # noqa: S101 - only rows with a rig are grouped
        edits = [row.edit for row in rows if row.edit is not None]
        # The rows were matched with the rigs as they are now, so the newest state is the base.
        revision = record(rig, edits, author=by, base=rig.head_number, reason=reason)
        if revision is not None:
            done.append(revision)
    return done


@transaction.atomic
def apply_to_show(
    *, list_import: ListImport, by: User, why: str, words: str, seen: str | None = None
) -> int:
    """Note what differs at the list's show, faulty rows left out, all or nothing; how many inputs.

    No rig is touched. Raises ValidationError where the show is retired, or as `apply` does.
    """
    show = list_import.show
    assert show is not None  # noqa: S101 - the caller has looked
    # Whoever notes a difference at this show holds it, too: nothing moves between look and write.
    Show.objects.select_for_update().get(pk=show.pk)
    changing = _taken_over(list_import, seen).changing
    for row in changing:
        assert row.entry is not None  # noqa: S101 - a row without an input is faulty
        differ(show, row.entry, by=by, why=why, words=words, **row.values)
    return len(changing)
