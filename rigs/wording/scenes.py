"""What scenes set, in words for a page. No queries."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

from rigs.changes.edits import Snapshot, Value
from rigs.models import SceneEntry
from rigs.models.scenes import UNIT_STATES
from rigs.wording.names import Names
from rigs.wording.songs import in_order, of_control
from rigs.wording.unit_views import UnitView
from rigs.wording.views import DifferenceView, SceneView

Fields = Mapping[str, Value]
What = SceneEntry.What


def scenes_of(
    scenes: Sequence[tuple[str, Fields]],
    entries: Sequence[tuple[str, Fields]],
    snapshot: Snapshot,
    names: Names,
    units: Iterable[UnitView],
) -> tuple[SceneView, ...]:
    """The scenes unit by unit, in the order in which `units` and `scenes` are given."""
    shown = {unit.id: unit for unit in units}
    rank = {part: place for place, part in enumerate(in_order(shown.values()))}
    sets: dict[str, list[DifferenceView]] = defaultdict(list)
    for part, known in entries:
        sets[str(known.get("scene"))].append(_entry(part, known, snapshot, names, shown))
    views = [
        SceneView(
            part,
            str(known.get("unit") or ""),
            names.of(known.get("unit")),
            str(known.get("slot") or ""),
            str(known.get("name") or ""),
            tuple(sorted(sets[part], key=lambda e: (e.what != What.UNIT, rank.get(e.about, 0)))),
        )
        for part, known in scenes
    ]
    return tuple(sorted(views, key=lambda scene: rank.get(scene.unit, 0)))


def _entry(
    part: str, known: Fields, snapshot: Snapshot, names: Names, units: Mapping[str, UnitView]
) -> DifferenceView:
    what = str(known.get("what") or What.CONTROL)
    about = str(known.get(what) or "")
    value = str(known.get("value") or "")
    view = DifferenceView(part, what, about, names.of(about), about, "", value)
    if what == What.CONTROL:
        return of_control(view, snapshot, names, units)
    text = str(UNIT_STATES.get(value, value))
    return DifferenceView(part, what, about, view.name, about, view.name, text)
