"""Read the patch of a production, or of one show, from the database."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from uuid import UUID

from django.db.models import Q, QuerySet

from core.composed import Composed, column
from core.models import Production, Show
from rigs.checks.stage import PatchOfStage, StageLine, Way
from rigs.models import LentLine, PatchBox, PatchBoxAtShow, PatchChange, PatchLine, PatchRun
from rigs.patch.landing import Boxes, BoxFacts, LineFacts, RunFacts, land
from rigs.patch.words import BoxName, read_runs

NO_LINE = StageLine()


@dataclass(frozen=True)
class Patch:
    """The patch of a production, or of `show` where it is given.

    `stored` are the rows that hold, by input: those of the show before those of all shows; `usual`
    are those of all shows. `lent` is what other acts take or give at the show.
    """

    production: Production
    show: Show | None
    boxes: Sequence[PatchBox]
    runs: Sequence[PatchRun]
    ways: Boxes
    stored: Mapping[UUID, PatchLine]
    usual: Mapping[UUID, PatchLine]
    lent: Sequence[LentLine]
    layers: Mapping[UUID, PatchBoxAtShow] = field(default_factory=dict)

    def line_of(self, entry: UUID) -> StageLine:
        """Where the line of an input lands; one without a way where nothing is recorded."""
        row = self.stored.get(entry)
        if row is None:
            return NO_LINE
        line = land(facts_of(row), self.ways)
        return replace(line, lent=tuple(self._takers(line))) if self.lent else line

    def _takers(self, line: StageLine) -> list[str]:
        """The acts that take a way of the line for themselves."""
        passed = set(line.passed)
        return list(dict.fromkeys(act for act, ways in self._taken if ways & passed))

    @cached_property
    def _taken(self) -> list[tuple[str, set[Way]]]:
        """Each act with the ways that it takes: once for all lines."""
        return [(lent.act, set(ways_of(lent))) for lent in self.lent if not lent.plugged]

    def differs(self, entry: UUID) -> bool:
        """Whether the show says something of its own of the input."""
        row = self.stored.get(entry)
        return self.show is not None and row is not None and row.show_id is not None

    @property
    def lent_ways(self) -> set[Way]:
        """The ways that another act takes or gives."""
        return {way for each in self.lent for way in ways_of(each)}

    @property
    def names(self) -> list[BoxName]:
        """What the boxes can be called, for whatever reads a way in words."""
        return [name_of(box) for box in self.boxes]


def patch_of(production: Production, show: Show | None = None) -> Patch:
    """The patch of all shows, or that of `show`, its boxes as they are that night. Three queries,
    five for a show; one less before there is a box, two of a show."""
    boxes = _boxes(production.pk)
    layers = layers_of(show) if show is not None and boxes else {}
    for box in boxes:
        _lay(box, layers.get(box.pk))
    by_id = {box.pk: box for box in boxes}
    runs = [
        run
        for run in (_runs(production.pk) if boxes else ())
        if run.source_id in by_id and run.target_id in by_id
    ]
    usual, own = {}, {}
    for row in _lines(production.pk):
        if row.show_id is None:
            usual[row.input_id] = row
        elif show is not None and row.show_id == show.pk:
            own[row.input_id] = row
    lent = _lent(show.pk) if show is not None else []
    # The boxes that were read already, instead of one query for each row.
    pointing: list[PatchLine | LentLine] = [*usual.values(), *own.values(), *lent]
    for each in pointing:
        if each.box_id in by_id:
            each.box = by_id[each.box_id]
    for run in runs:
        run.source, run.target = by_id[run.source_id], by_id[run.target_id]
    runs = _laid_runs(runs, boxes, layers)
    ways = Boxes(map(box_facts, boxes), map(run_facts, runs))
    return Patch(production, show, boxes, runs, ways, usual | own, usual, lent, layers)


def layers_of(show: Show) -> dict[UUID, PatchBoxAtShow]:
    """What stands in the place of boxes at `show`, by the box. One query."""
    return {row.box_id: row for row in _layers(show.pk)}


_boxes = Composed(
    lambda production: PatchBox.objects.live().filter(production=production), column(Production)
)
_runs = Composed(
    lambda production: PatchRun.objects.filter(source__production=production), column(Production)
)
_lines = Composed(
    lambda production: PatchLine.objects.filter(input__rig__production=production).order_by(),
    column(Production),
)
_lent = Composed(
    lambda show: LentLine.objects.filter(show=show).select_related("box"), column(Show)
)
_layers = Composed(lambda show: PatchBoxAtShow.objects.filter(show=show), column(Show))


def _lay(box: PatchBox, layer: PatchBoxAtShow | None) -> None:
    """Make a box what it is that night. It was read to be shown, and is never saved."""
    if layer is not None:
        layer.box = box
        box.name = layer.name or box.name
        box.ways = layer.ways or box.ways
        box.place = layer.place or box.place


def name_of(box: PatchBox) -> BoxName:
    return BoxName(str(box.pk), box.mark, box.name, box.ways)


def _laid_runs(
    runs: Sequence[PatchRun], boxes: Sequence[PatchBox], layers: Mapping[UUID, PatchBoxAtShow]
) -> list[PatchRun]:
    """The runs of that night: a layer that speaks of those of its box has all of them."""
    said = {box: layer for box, layer in layers.items() if layer.runs}
    kept = [run for run in runs if run.source_id not in said]
    by_id = {str(box.pk): box for box in boxes}
    for box in [box for box in boxes if box.pk in said]:
        try:
            found, to_desk = read_runs(said[box.pk].runs, name_of(box), map(name_of, boxes))
        except ValueError:
            # Boxes have changed since it was written: its ways end there, which is a finding.
            found, to_desk = [], False
        box.to_desk = to_desk
        for first, into in found:
            count = into.last - into.first + 1
            target = by_id[into.box.id]
            kept.append(
                PatchRun(
                    source=box, first=first, target=target, target_first=into.first, count=count
                )
            )
    return kept


def changes_of(production: Production, show: Show | None) -> QuerySet[PatchChange]:
    """What was changed for all shows and, where one is given, for that one, the newest first."""
    of_all = Q(show=None)
    changes = PatchChange.objects.filter(production=production)
    return changes.filter(of_all if show is None else of_all | Q(show=show))


def patch_of_stage(production: Production, show: Show | None) -> PatchOfStage:
    """For the rules (rigs.places.PATCH)."""
    patch = patch_of(production, show)
    lines = {str(entry): patch.line_of(entry) for entry in patch.stored}
    return PatchOfStage(lines, bool(patch.boxes))


def box_facts(box: PatchBox) -> BoxFacts:
    return BoxFacts(str(box.pk), box.mark, box.ways, box.to_desk, box.split, box.direct, box.place)


def run_facts(run: PatchRun) -> RunFacts:
    return RunFacts(str(run.source_id), run.first, str(run.target_id), run.target_first, run.count)


def facts_of(row: PatchLine) -> LineFacts:
    return LineFacts(
        str(row.box_id or ""), row.way or 0, row.monitor_channel, row.split, row.phantom_from
    )


def ways_of(lent: LentLine) -> Iterable[Way]:
    """The ways that something lent takes."""
    if lent.box_id is None or lent.first is None:
        return ()
    return (Way(str(lent.box_id), lent.first + step) for step in range(lent.count or 1))
