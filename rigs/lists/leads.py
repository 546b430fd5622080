"""Microphone leads, boxes and looms, counted from the inputs and the patch.

That each microphone and DI takes one lead to the way it is plugged into is common practice, no
source. How long a lead must be is not known here.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from core.languages.words import each_of
from core.models import Production, Show
from rigs.checks.stage import PatchOfStage
from rigs.lists.cases import Count
from rigs.models import Input, PatchBox, PatchRun
from rigs.places import PATCH

LEAD = gettext_lazy("Microphone lead, XLR")


def leads_and_looms(
    production: Production, inputs: Sequence[Input], show: Show | None = None
) -> list[Count]:
    """Five queries, six for a show, however many inputs."""
    patch = PATCH.first(production, show) or PatchOfStage({}, False)
    boxes = list(PatchBox.objects.live().filter(production=production))
    runs = PatchRun.objects.filter(source__in=boxes, target__in=boxes)
    runs = runs.select_related("source", "target")
    return [*leads(inputs, patch, boxes), *(_of_box(box) for box in boxes), *_of_runs(runs)]


def leads(inputs: Iterable[Input], patch: PatchOfStage, boxes: Iterable[PatchBox]) -> list[Count]:
    """One line for the leads of all inputs that have a microphone or DI: how many to which box."""
    names = {str(box.pk): box.name for box in boxes}
    into = Counter(_box_of(entry, patch, names) for entry in inputs if entry.device is not None)
    if not into:
        return []
    known = [
        _("{n} to {box}").format(n=count, box=names[box]) for box, count in _in_order(into, names)
    ]
    if into[""] and patch.has_boxes:
        known.append(_("{n} to a way that is not noted").format(n=into[""]))
    return [Count(str(LEAD), into.total(), each_of([*known, _("length not noted")]))]


def _box_of(entry: Input, patch: PatchOfStage, names: Mapping[str, str]) -> str:
    line = patch.lines.get(str(entry.pk))
    return line.passed[0].box if line and line.passed and line.passed[0].box in names else ""


def _in_order(into: Counter[str], names: Mapping[str, str]) -> list[tuple[str, int]]:
    return [(box, into[box]) for box in names if into[box]]


def _of_box(box: PatchBox) -> Count:
    return Count(
        ngettext("{box}, {n} way", "{box}, {n} ways", box.ways).format(box=box.name, n=box.ways),
        1,
        box.place,
        kind=box.get_kind_display(),
    )


# What is cable itself, and joins boxes without another.
_CARRIES = frozenset({PatchBox.Kind.SNAKE, PatchBox.Kind.LOOM, PatchBox.Kind.MULTIPIN})


def _of_runs(runs: Iterable[PatchRun]) -> list[Count]:
    """What joins two boxes neither of which is a cable itself."""
    joined: Counter[str] = Counter()
    for run in runs:
        if run.source.kind not in _CARRIES and run.target.kind not in _CARRIES:
            joined[_("{box} to {other}").format(box=run.source.name, other=run.target.name)] += (
                run.count
            )
    return [
        Count(
            _("Loom or multipin for {ways} ways").format(ways=ways),
            1,
            _("{way}, length not noted").format(way=way),
        )
        for way, ways in joined.items()
    ]
