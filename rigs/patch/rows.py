"""The rows of the lists of a patch: by box, by channel, by position; and as cells of a file."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import NamedTuple
from uuid import UUID

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy

from core.languages.marked import gettext_noop
from core.languages.words import apart
from core.models import Production, Show
from rigs.checks.findings import Finding
from rigs.checks.run import stage_findings
from rigs.checks.stage import PatchOfStage, Stage, StageLine, Way
from rigs.checks.stage_rules import no_way, split_phantom, way_twice
from rigs.lists.input_list import DayInput, inputs_of, of_day
from rigs.models import LentLine, PatchBox, PatchBoxAtShow, PatchRun
from rigs.models.patch import PhantomFrom, Split
from rigs.patch.landing import spans, spare_of
from rigs.patch.load import Patch, patch_of, ways_of
from rigs.shows.players import WhoPlays
from rigs.shows.rigs import played_of_production
from rigs.shows.services import rows_of
from rigs.shows.stage import stage_inputs

RULES = (way_twice.RULE, no_way.RULE, split_phantom.RULE)
_SPLITS = {
    Split.PASSIVE: gettext_lazy("passive split"),
    Split.TRANSFORMER: gettext_lazy("transformer split"),
} | {Split.ACTIVE: gettext_lazy("active split")}
SAID_PHANTOM = {
    PhantomFrom.FOH: gettext_noop("FOH"),
    PhantomFrom.MONITOR: gettext_noop("monitor"),
    PhantomFrom.BOTH: gettext_noop("both"),
    PhantomFrom.SPLIT: gettext_noop("split"),
}
_PHANTOM_WORDS = {
    PhantomFrom.FOH: gettext_lazy("phantom from FOH"),
    PhantomFrom.MONITOR: gettext_lazy("phantom from monitor"),
    PhantomFrom.BOTH: gettext_lazy("phantom from both"),
    PhantomFrom.SPLIT: gettext_lazy("phantom from split"),
}
SPARE = gettext_noop("spare")  # in the place of a name, on a way that is free


@dataclass(frozen=True, slots=True)
class PatchRow:
    """An input with where it lands. `differs` where the show says something of its own."""

    day: DayInput
    line: StageLine
    differs: bool = False
    is_split_otherwise: bool = False

    @property
    def channel(self) -> str:
        return str(self.day.entry.number or "")

    @property
    def name(self) -> str:
        return self.day.entry.name

    @property
    def player(self) -> str:
        return self.day.dep or str(self.day.entry.rig.player)

    @property
    def label(self) -> str:
        """For a strip: the name, and who plays it where that is somebody else that night."""
        return f"{self.name} ({self.day.dep})" if self.day.dep else self.name

    @property
    def entry_id(self) -> UUID:
        return self.day.entry.pk

    @property
    def split(self) -> str:
        return str(_SPLITS.get(Split(self.line.split), ""))

    @property
    def own_split(self) -> str:
        """The split of this line alone; what its box says stands at the box."""
        return self.split if self.is_split_otherwise else ""

    @property
    def phantom(self) -> str:
        """Whether the line is to have phantom power, and what gives it."""
        source = PhantomFrom(self.line.phantom_from)
        said = str(_PHANTOM_WORDS.get(source, ""))
        if not self.day.entry.phantom:
            return said if source == PhantomFrom.BOTH else ""
        return said or _("phantom")

    @property
    def monitor(self) -> str:
        channel = self.line.monitor_channel
        return _("monitor {channel}").format(channel=channel) if channel else ""


@dataclass(frozen=True, slots=True)
class WayRow:
    """One way of a box with what is on it."""

    number: int
    rows: Sequence[PatchRow]
    lent: Sequence[LentLine]


class Through(NamedTuple):
    """Ways of a box that lines take on from another one."""

    span: str
    source: PatchBox
    names: Sequence[str]


@dataclass(frozen=True, slots=True)
class BoxList:
    """A box with its ways that are in use, in order, and those that are free in words."""

    box: PatchBox
    ways: Sequence[WayRow]
    spare: str
    spares: int
    runs: Sequence[PatchRun]
    fed_by: Sequence[PatchRun]
    layer: PatchBoxAtShow | None = None

    @property
    def own(self) -> Sequence[WayRow]:
        """The ways into which something is plugged here, and not at another box before."""
        return [way for way in self.ways if way.lent or not way.rows or self._begins(way)]

    @property
    def through(self) -> list[Through]:
        """The ways that come from other boxes, each run in one line: their lines stand there."""
        own = {way.number for way in self.own}
        there = {way.number: way for way in self.ways if way.number not in own}
        found = []
        for run in self.fed_by:
            run_ways = range(run.target_first, run.target_first + run.count)
            numbers = [number for number in run_ways if number in there]
            names = [row.name for n in numbers for row in there[n].rows]
            if names:
                found.append(Through(spans(numbers), run.source, names))
        return found

    def _begins(self, way: WayRow) -> bool:
        start = Way(str(self.box.pk), way.number)
        return any(row.line.passed[0] == start for row in way.rows)


def rows_at(
    production: Production, show: Show | None, patch: Patch, who: WhoPlays | None = None
) -> list[PatchRow]:
    """The inputs that are used, by channel: of the rigs that usually play, or of those at `show`.

    At most eight queries; `who` plays there is read where it is not passed in.
    """
    if show is None:
        rigs = {rig.pk: rig for rig in played_of_production(production)}
        days = of_day(inputs_of(production, rigs=set(rigs), known=rigs), {})
    else:
        days = [row for row in rows_of(show, who=who) if not row.absent]
    return [_row(day, patch) for day in days]


def _row(day: DayInput, patch: Patch) -> PatchRow:
    entry = day.entry.pk
    stored = patch.stored.get(entry)
    split_of_line = bool(stored is not None and stored.split)
    return PatchRow(day, patch.line_of(entry), patch.differs(entry), split_of_line)


def patch_and_rows(
    production: Production, show: Show | None = None, who: WhoPlays | None = None
) -> tuple[Patch, list[PatchRow]]:
    """At most twelve queries, however many inputs and ways."""
    patch = patch_of(production, show)
    return patch, rows_at(production, show, patch, who)


def findings_of(patch: Patch, rows: Sequence[PatchRow]) -> list[Finding]:
    """What the rules on the patch find. No queries."""
    lines = PatchOfStage({str(row.entry_id): row.line for row in rows}, bool(patch.boxes))
    inputs = stage_inputs((row.day for row in rows), lines)
    name = str(patch.show.pk) if patch.show else ""
    stage = Stage(name, inputs=inputs, has_boxes=lines.has_boxes)
    return stage_findings(stage, RULES)


def by_box(patch: Patch, rows: Sequence[PatchRow]) -> list[BoxList]:
    at: dict[Way, list[PatchRow]] = {}
    for row in rows:
        for way in row.line.passed:
            at.setdefault(way, []).append(row)
    lent: dict[Way, list[LentLine]] = {}
    for each in patch.lent:
        for way in ways_of(each):
            lent.setdefault(way, []).append(each)
    return [_box_list(box, patch, at, lent) for box in patch.boxes]


def _box_list(
    box: PatchBox,
    patch: Patch,
    at: dict[Way, list[PatchRow]],
    lent: dict[Way, list[LentLine]],
) -> BoxList:
    ways = [Way(str(box.pk), number) for number in range(1, box.ways + 1)]
    used = [WayRow(w.number, at.get(w, ()), lent.get(w, ())) for w in ways if w in at or w in lent]
    free = spare_of(str(box.pk), patch.ways, {*at, *lent})
    return BoxList(
        box,
        used,
        spans(free),
        len(free),
        [run for run in patch.runs if run.source_id == box.pk],
        [run for run in patch.runs if run.target_id == box.pk],
        patch.layers.get(box.pk),
    )


def by_position(rows: Sequence[PatchRow]) -> list[tuple[str, list[PatchRow]]]:
    """Grouped by where the lines begin: the player, and where the box of the way stands."""
    ordered = sorted(rows, key=lambda row: (row.day.entry.rig.player.position, _way_key(row)))
    return [(name, list(group)) for name, group in groupby(ordered, key=lambda row: _position(row))]


def _way_key(row: PatchRow) -> tuple[str, str, int]:
    first = row.line.passed[0] if row.line.passed else Way("", 0)
    return row.player, row.line.place, first.number


def _position(row: PatchRow) -> str:
    return " · ".join(filter(None, (row.player, row.line.place)))


HEADINGS = (
    gettext_noop("Channel"),
    gettext_noop("Input"),
    gettext_noop("Player"),
    gettext_noop("Box"),
    gettext_noop("Way"),
    gettext_noop("Line"),
    gettext_noop("Microphone or DI"),
    gettext_noop("Stand"),
    gettext_noop("Phantom"),
    gettext_noop("Phantom from"),
    "Split",
    gettext_noop("Monitor"),
)
# A keyboard has a split, too, and other languages another word for it.
SPLIT = pgettext_lazy("of lines", "Split")
ON = gettext_noop("on")


def grid(
    patch: Patch, rows: Sequence[PatchRow], order: str, say: Callable[[str], str] = str
) -> list[list[str]]:
    """The list as cells, headings first: by channel, by position, or by box with spare ways.

    A file, which is read back, has our words as they are; for paper `say` translates them.
    """
    split = str if say is str else lambda _heading: str(SPLIT)
    headings = [(split if heading == "Split" else say)(heading) for heading in HEADINGS]
    if order == "box":
        return [headings, *_box_cells(patch, rows, say)]
    in_order = rows
    if order == "position":
        in_order = [row for _position, group in by_position(rows) for row in group]
    return [headings, *(_cells(row, say) for row in in_order)]


def _cells(row: PatchRow, say: Callable[[str], str]) -> list[str]:
    line, entry = row.line, row.day.entry
    box, _space, way = line.way.partition("\u00a0")
    source = SAID_PHANTOM.get(PhantomFrom(line.phantom_from))
    return [
        *(row.channel, row.name, row.player, box, way),
        line.path.replace("\u00a0", " ") if len(line.passed) > 1 else "",
        str(entry.device or ""),
        entry.stand,
        say(ON) if entry.phantom else "",
        say(source) if source else "",
        line.split,
        str(line.monitor_channel or ""),
    ]


def _box_cells(
    patch: Patch, rows: Sequence[PatchRow], say: Callable[[str], str]
) -> Iterable[list[str]]:
    for each in by_box(patch, rows):
        used = {way.number: way for way in each.ways}
        for number in range(1, each.box.ways + 1):
            way = used.get(number)
            start = Way(str(each.box.pk), number)
            own = [r for r in (way.rows if way else ()) if r.line.passed[0] == start]
            yield from (_cells(row, say) for row in own)
            if own or start in patch.ways.fed:
                continue
            said = apart(str(lent) for lent in way.lent) if way else say(SPARE)
            if said:
                yield ["", said, "", each.box.mark, str(number), *[""] * (len(HEADINGS) - 5)]
    yield from (_cells(row, say) for row in rows if not row.line.passed)


def strip_cells(
    patch: Patch, rows: Sequence[PatchRow], order: str, boxes: Collection[UUID] = ()
) -> list[tuple[str, list[tuple[str, str]]]]:
    """Strips of labels: a title and, for each label, its number and what it says.

    By box every way has a label, spare ones too; by channel those of the FOH desk, or with
    `monitor` those of the monitor desk.
    """
    if order in ("channel", "monitor"):
        return [_desk_strip(rows, order)]
    strips = []
    for each in by_box(patch, rows):
        if boxes and each.box.pk not in boxes:
            continue
        used = {way.number: way for way in each.ways}
        labels = [
            (f"{each.box.mark} {number}", _on_way(used.get(number)))
            for number in range(1, each.box.ways + 1)
        ]
        strips.append((f"{each.box.name} ({each.box.mark})", labels))
    return strips


def _desk_strip(rows: Sequence[PatchRow], order: str) -> tuple[str, list[tuple[str, str]]]:
    is_foh = order == "channel"
    names: dict[int, list[str]] = {}
    for row in rows:
        number = row.day.entry.number if is_foh else row.line.monitor_channel
        if number is not None:
            names.setdefault(number, []).append(row.label)
    last = max(names, default=0)
    # A strip is laid along the desk, so that a channel without an input keeps its place.
    shown = range(1, last + 1) if last <= 256 else sorted(names)
    labels = [(str(number), " / ".join(names.get(number, ()))) for number in shown]
    return (_("FOH desk") if is_foh else _("Monitor desk")), labels


def _on_way(way: WayRow | None) -> str:
    if way is None:
        return ""
    names = [row.label for row in way.rows]
    return " / ".join([*names, *(f"{each.what}, {each.act}" for each in way.lent)])
