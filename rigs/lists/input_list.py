"""The input list of a production, made from the inputs of its rigs, and that of one show.

At a show each input is shown with what differs that day. Only `inputs_of` makes queries.
"""

from __future__ import annotations

import copy
from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple
from uuid import UUID

from django.db.models import Prefetch, prefetch_related_objects
from django.utils.translation import gettext as _

from core.languages.words import leading
from core.models import Production
from rigs.changes.reasons import LABELS, ReasonKind
from rigs.checks.channels import used_twice
from rigs.lists.columns import BY_KEY, COLUMNS, read_out, show
from rigs.lists.groups import grouped
from rigs.models import Input, Rig, ShowInput
from rigs.revisions.sources import with_heard


class Numbering(NamedTuple):
    """Channel numbers that are used twice, numbers left free, and how many inputs have none."""

    twice: list[int]
    gaps: list[int]
    without: int


def inputs_of(
    production: Production,
    variants: Sequence[str] = ("main",),
    rigs: Collection[UUID] | None = None,
    known: Mapping[UUID, Rig] | None = None,
) -> list[Input]:
    """Live inputs of the live rigs of those variants, or of `rigs` in their place, by channel
    number and with what they pick up; five queries, two more where that is a group. `known` are
    rigs with their players that were read already: where all are, that is one query less.

    What inputs share (devices, units, rigs with their players) is read once, not with each: of
    10,000 inputs that was most of the time.
    """
    chosen = {"rig__variant__in": variants} if rigs is None else {"rig__in": rigs}
    inputs = Input.objects.live().filter(rig__production=production, rig__retired=False, **chosen)
    found = list(inputs.order_by().prefetch_related("device"))
    if all(entry.rig_id in (known or {}) for entry in found):
        for entry in found:
            entry.rig = (known or {})[entry.rig_id]
    else:
        prefetch_related_objects(found, Prefetch("rig", Rig.objects.select_related("player")))
    with_heard(found)
    return sorted(
        found,
        key=lambda entry: (
            entry.number is None,
            entry.number or 0,
            entry.rig.player.position,
            entry.position,
        ),
    )


def numbering(inputs: Sequence[Input]) -> Numbering:
    counted = Counter(entry.number for entry in inputs if entry.number is not None)
    top = max(counted, default=0)
    return Numbering(
        twice=used_twice(entry.number for entry in inputs),
        gaps=[number for number in range(1, top) if number not in counted],
        without=sum(entry.number is None for entry in inputs),
    )


def as_rows(inputs: Sequence[Input]) -> list[list[str]]:
    """The list as a grid, headings first."""
    headings = [column.heading for column in COLUMNS]
    return [headings, *([show(column.key, entry) for column in COLUMNS] for entry in inputs)]


# What 0 stands for in a difference: something of the list that is left out that day.
ZERO_IS_NOTHING = tuple(row.name for row in ShowInput.ROWS if row.column and row.column.off)
_DIFFERING = [BY_KEY[row.key] for row in ShowInput.ROWS]
# What a page shows in one column beside the channel, which is the first of them.
_CHANNEL, *DAY_GROUPS = grouped(_DIFFERING)


class DayCell(NamedTuple):
    """What a page shows in one column. A phone says the heading where the value would not."""

    heading: str
    cells: list[Differing]
    needs_heading: bool


class Differing(NamedTuple):
    """One column: the cell of the list, and that day’s."""

    key: str
    heading: str
    old: str
    new: str

    @property
    def is_new(self) -> bool:
        return self.old != self.new

    @property
    def unit(self) -> str:
        row = BY_KEY[self.key].field
        return row.symbol if row else ""


@dataclass(frozen=True, slots=True)
class DayInput:
    """An input at a show. `entry` has that day’s values; like any part, it cannot be saved.

    `cautions` are sentences about a device that stands in for another. `dep` is “X for Y” where
    somebody plays for the player, and `unit_tonight` says what of the unit it picks up is other.
    """

    listed: Input
    entry: Input
    difference: ShowInput | None = None
    cautions: tuple[str, ...] = ()
    dep: str = ""
    unit_tonight: str = ""

    @property
    def absent(self) -> bool:
        return self.difference is not None and self.difference.absent

    @property
    def hired_locally(self) -> bool:
        return self.difference is not None and self.difference.hired_locally and not self.absent

    @property
    def is_substituted(self) -> bool:
        return self.entry.device_id != self.listed.device_id

    @property
    def cells(self) -> list[Differing]:
        """The columns that can differ, as they are that day; `old` is the cell of the list."""
        return [
            Differing(
                each.key,
                _(each.heading),
                read_out(each.key, self.listed),
                read_out(each.key, self.entry),
            )
            for each in _DIFFERING
        ]

    @property
    def channel(self) -> Differing:
        return next(cell for cell in self.cells if cell.key == _CHANNEL.columns[0].key)

    @property
    def columns(self) -> list[DayCell]:
        """Each column of a page; cells with nothing to show are left out."""
        cells = {cell.key: cell for cell in self.cells if cell.old or cell.new}
        return [
            DayCell(
                group.heading,
                [cells[each.key] for each in group.columns if each.key in cells],
                group.is_figure or group.is_switch,
            )
            for group in DAY_GROUPS
        ]

    @property
    def differs(self) -> list[Differing]:
        """The columns whose cell is not that of the list, in the order of the difference."""
        return [] if self.difference is None else [cell for cell in self.cells if cell.is_new]

    @property
    def why(self) -> str:
        """“hired in place of ours: ours is in repair”; empty where nobody said."""
        if self.difference is None:
            return ""
        kind = _(LABELS[ReasonKind(self.difference.why)]) if self.difference.why else ""
        return leading(kind, self.difference.words.strip())


def applied(listed: Input, difference: ShowInput | None) -> Input:
    """A copy of `listed` with that day’s values; `listed` itself where nothing differs."""
    if difference is None:
        return listed
    # A copy: the same input may be shown beside it as it is on the list of all shows.
    entry = copy.copy(listed)
    for row in ShowInput.ROWS:
        value: Any = getattr(difference, row.name)
        # Empty means that the show says nothing of this field; what is left out that day is 0.
        if value in (None, ""):
            continue
        nothing = row.name in ZERO_IS_NOTHING and value == 0
        setattr(entry, row.name, None if nothing else value)
        if row.is_length:
            setattr(entry, row.unit_field, getattr(difference, row.unit_field))
    return entry


def of_day(inputs: Iterable[Input], differences: Mapping[UUID, ShowInput]) -> list[DayInput]:
    """`differences` by input id. By that day’s channels; inputs without a number come last."""
    rows = [DayInput(i, applied(i, differences.get(i.pk)), differences.get(i.pk)) for i in inputs]
    # The list is in order already, so that equal numbers keep their place.
    return sorted(rows, key=lambda row: (row.entry.number is None, row.entry.number or 0))


def numbering_of(rows: Sequence[DayInput]) -> Numbering:
    """What is odd about that day’s numbers; what is not used that day leaves its channel free."""
    return numbering([row.entry for row in rows if not row.absent])


def differs_from(each: Differing) -> str:
    """“Stand: short → none”: a column that differs, in the list and that day."""
    nothing = _("nothing")
    return f"{each.heading}: {each.old or nothing} → {each.new or nothing}"


TODAY = ("Used", "Hired locally", "Changed for this show", "Why", "Who plays")


def day_grid(rows: Sequence[DayInput]) -> list[list[str]]:
    """That day’s list as a grid: the list’s columns with that day’s cells, then what differs."""
    grid = as_rows([row.entry for row in rows])
    grid[0] += TODAY
    for line, row in zip(grid[1:], rows, strict=True):
        differences = [differs_from(each) for each in row.differs]
        differences += [row.unit_tonight] if row.unit_tonight else []
        line += [
            "no" if row.absent else "yes",
            "yes" if row.hired_locally else "",
            "; ".join(differences),
            row.why,
            row.dep,
        ]
    return grid
