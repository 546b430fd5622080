"""Import a list: store what was uploaded, show what it would do, do it once confirmed."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core import clock
from core.models import Player, Production, Show, User
from rigs.changes.edits import Add
from rigs.changes.reasons import Reason
from rigs.list_import.layout import Line, Sheet
from rigs.list_import.making import Choices, Making
from rigs.list_import.matching import ImportRow, Matcher
from rigs.list_import.placement import read_placement
from rigs.list_import.several import channels
from rigs.list_import.show_matching import DAY_COLUMNS, DayMatcher
from rigs.lists.columns import COLUMNS, SheetColumn, guess
from rigs.lists.sheets import Grid, find_headings, heading_rows, read_book
from rigs.models import Device, ListImport, Revision, Rig
from rigs.models.revisions import Origin
from rigs.revisions.record import create, record
from rigs.shows.rigs import played_at
from rigs.shows.services import RETIRED_SHOW, differ, differences_of

MOVED_ON = gettext_lazy(
    "Meanwhile somebody changed something that this list is about. "
    "Look at its rows again, then confirm."
)
DONE_ALREADY = gettext_lazy("This list is imported already.")


@dataclass(frozen=True, slots=True)
class Preview:
    """What the list would do, row by row. `missing` inputs of the list are in no row."""

    rows: list[ImportRow]
    missing: int = 0
    lines: list[Line] = field(default_factory=list)
    making: Making | None = None
    rigs_there: list[Rig] = field(default_factory=list)  # to choose in place of new ones
    devices_there: list[Device] = field(default_factory=list)

    @property
    def changing(self) -> list[ImportRow]:
        return [row for row in self.rows if row.changes and not row.left_out]

    @property
    def faulty(self) -> list[ImportRow]:
        """Rows with a cell that is asked about, whether or not the others are taken."""
        return [row for row in self.rows if row.errors and not row.left_out]

    @property
    def waiting(self) -> list[ImportRow]:
        """Rows of which nothing is taken before they are mended."""
        return [row for row in self.rows if row.waits]

    @property
    def unchanged(self) -> int:
        return sum(not row.changes and not row.errors for row in self.rows)

    @property
    def new_rigs(self) -> list[Rig]:
        """Rigs that are made, those of rows that are taken."""
        rigs = [row.rig for row in self.changing if row.rig is not None and row.rig._state.adding]
        return list({rig.pk: rig for rig in rigs}.values())

    @property
    def new_players(self) -> list[Player]:
        players = [rig.player for rig in self.new_rigs if rig.player._state.adding]
        return list({player.pk: player for player in players}.values())

    @property
    def new_devices(self) -> list[Device]:
        made = [p.device for row in self.changing for p in row.devices if p.makes and p.device]
        return list({device.pk: device for device in made}.values())

    @property
    def needs_reason(self) -> bool:
        """Whether a rig that there is would change; a first documentation needs no reason."""
        return any(row.rig is not None and not row.rig._state.adding for row in self.changing)

    @property
    def seen(self) -> str:
        """SHA-256 of what is proposed: whoever confirms names what was looked at."""
        rows: list[Any] = [
            [row.number, str(row.entry.pk) if row.entry else str(row.rig), row.changes]
            for row in self.changing
        ]
        rows += [[str(rig.player), rig.player.instrument, str(rig)] for rig in self.new_rigs]
        rows += [[str(device), device.principle, device.phantom] for device in self.new_devices]
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
    book = read_book(name, data)
    try:
        headings, first = find_headings(book.grid)
        named_by = heading_rows(book.grid)
    except ValueError:
        if max(map(len, book.grid)) < 2:
            raise
        # Columns without headings can be named by hand, one by one.
        headings, first, named_by = [], 0, 0
    wide = max(map(len, book.grid))
    headings += [""] * (wide - len(headings))
    return ListImport.objects.create(
        production=production,
        show=show,
        brought_by=by,
        file_name=name[:200],
        headings=headings,
        rows=book.grid[first:],
        first_row=first + 1,
        above=book.grid[:first],
        heading_rows=named_by,
        sheets_left_out=book.left_out,
        mapping=_mapping(headings, book.grid[first:], DAY_COLUMNS if show else COLUMNS),
    )


def _mapping(headings: list[str], rows: Grid, columns: Sequence[SheetColumn]) -> dict[str, str]:
    """Our guess at the columns. “Position” is a place on stage, unless its cells say how far off a
    microphone stands."""
    mapping = guess(headings, columns)
    if "aimed_at" not in mapping.values() and "distance" not in mapping.values():
        for index, key in mapping.items():
            cells = [row[index] for row in rows if index < len(row)]
            if key == "stage_position" and any(read_placement(cell)[0] for cell in cells):
                mapping[index] = "aimed_at"
                break
    # Many lists leave the heading above the channels empty.
    if "number" not in mapping.values() and headings and not headings[0]:
        cells = [row[0] for row in rows if row and row[0]]
        if cells and all(channels(cell) for cell in cells):
            mapping[0] = "number"
    return {str(index): key for index, key in mapping.items()}


def remap(*, list_import: ListImport, mapping: dict[str, str]) -> None:
    """Say anew which heading is which column. Raises ValidationError for a column named twice."""
    known = {column.key: _(column.heading) for column in columns_of(list_import)}
    used = [key for key in mapping.values() if key]
    twice = next((key for key in used if used.count(key) > 1), None)
    if twice:
        raise ValidationError(
            _("Two columns cannot both be “{heading}”.").format(heading=known.get(twice, twice))
        )
    list_import.mapping = {index: key for index, key in mapping.items() if key in known}
    list_import.save(update_fields=["mapping"])


def mend(
    *, list_import: ListImport, mended: Mapping[str, Mapping[str, str]], making: Choices
) -> None:
    """Keep what cells should say, by row and column, and which rigs and devices are made.

    What was said before of other cells, players and devices stays. A cell sent as it stands is no
    mending.
    """
    known = {column.key for column in columns_of(list_import)}
    lines = {str(line.number): line for line in sheet_of(list_import).lines(lambda _: False)}
    kept = {row: dict(cells) for row, cells in list_import.mended.items()}
    for row, cells in mended.items():
        stands = lines[row].cells if row in lines else {}
        new = {k: text for k, text in cells.items() if k in known and text != stands.get(k, "")}
        if row in lines and new:
            kept[row] = kept.get(row, {}) | new
    chosen = {kind: dict(choices) for kind, choices in list_import.making.items()}
    for kind, choices in making.items():
        chosen[kind] = chosen.get(kind, {}) | {key: dict(said) for key, said in choices.items()}
    list_import.mended, list_import.making = kept, chosen
    list_import.save(update_fields=["mended", "making"])


def preview(list_import: ListImport) -> Preview:
    """A fixed number of queries, however many rows."""
    making: Making | None = None
    if list_import.show is not None:
        show = list_import.show
        matcher: Matcher = DayMatcher(show, differences_of(show), played_at([show])[show.pk])
    else:
        making = Making(list_import.production, list_import.pk, list_import.making)
        matcher = Matcher(list_import.production, making)
    sheet = sheet_of(list_import)
    lines = sheet.lines(matcher.knows)
    there = sorted(matcher.device_of.values(), key=str)
    rows = matcher.rows(lines, own=sheet.own)
    return Preview(rows, matcher.missing, lines, making, matcher.rigs, there)


def sheet_of(list_import: ListImport) -> Sheet:
    ours = [column.heading for column in COLUMNS]
    return Sheet(
        list_import.rows,
        list_import.first_row,
        list_import.headings,
        {int(index): key for index, key in list_import.mapping.items()},
        list_import.mended,
        own=list_import.headings[: len(ours)] == ours,
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
    current = _taken_over(list_import, seen)
    make(current, list_import.production)
    by_rig: dict[UUID, list[ImportRow]] = {}
    for row in current.changing:
        if row.rig is not None:
            by_rig.setdefault(row.rig.pk, []).append(row)
    done = []
    for rows in by_rig.values():
        rig = rows[0].rig
        assert rig is not None  # noqa: S101 - only rows with a rig are grouped
        edits = [e for row in rows for e in (row.edit, *row.more) if e is not None]
        if rig._state.adding:
            origin = Reason(words=Origin.LIST.in_english(file=list_import.file_name))
            adds = [edit for edit in edits if isinstance(edit, Add)]
            done.append(create(rig, author=by, parts=adds, reason=origin))
            continue
        # The rows were matched with the rigs as they are now, so the newest state is the base.
        revision = record(rig, edits, author=by, base=rig.head_number, reason=reason)
        if revision is not None:
            done.append(revision)
    return done


def make(current: Preview, production: Production) -> None:
    """Save the players and devices that the taken rows need. Raises ValidationError."""
    place = Player.objects.filter(production=production).count()
    for position, player in enumerate(current.new_players, start=place):
        player.position = position
        player.full_clean(exclude=["production"])
        player.save(force_insert=True)
    for device in current.new_devices:
        device.full_clean(exclude=["production"])
        device.save(force_insert=True)


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
