"""Take a part out of a rig together with what belongs to it, and bring it back with that."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.core.exceptions import ValidationError
from django.db.models import Q

from rigs.models import ChangeRow, Control, Fact, Input, Link, Part, Photo, Revision, Rig, Unit
from rigs.revisions.edits import WHOLE, Add, Edit, Retire, Set
from rigs.revisions.record import record
from rigs.revisions.references import PART_POINTERS
from rigs.services.latest import last_retirement

if TYPE_CHECKING:
    from core.models import User


def retire_edits(part: Part | Rig) -> list[Edit]:
    """The edits that put `part` away. Raises ValidationError where inputs still hear a unit."""
    if isinstance(part, Rig):
        return [Set(str(part.pk), "rig", {"retired": True})]
    if isinstance(part, Unit):
        _refuse_if_heard(part)
    gone = [*belongings(part), part]
    return [Retire(str(p.pk), p.KIND) for p in gone]


def belongings(part: Part) -> list[Part]:
    """What leaves with a unit (controls, figures, cables, photos) or an input (photos)."""
    found: list[Part] = []
    if isinstance(part, Unit):
        for model in (Control, Fact):
            found += model.objects.live().filter(unit=part)
        ends = Q(source=part) | Q(target=part)
        found += Link.objects.live().filter(ends).select_related("source", "target")
    if isinstance(part, Unit | Input):
        found += Photo.objects.live().filter(rig=part.rig_id, about=part.pk)
    return found


def _refuse_if_heard(unit: Unit) -> None:
    inputs = [str(entry) for entry in Input.objects.live().filter(unit=unit)]
    if inputs:
        raise ValidationError(
            f"“{unit}” is still heard by {', '.join(inputs)}. "
            "Let that take its sound from something else, or retire it first."
        )


def bring_back(*, rig: Rig, part: Part | Rig, author: User) -> Revision | None:
    """Undo the retiring of `part`, with what left together with it. None if it is in use.

    Raises ValidationError where what it points at has gone meanwhile.
    """
    edits = [Set(str(rig.pk), "rig", {"retired": False})] if isinstance(part, Rig) else _adds(part)
    return record(rig, edits, author=author, base=rig.head_number)


def _adds(part: Part) -> list[Edit]:
    if not part.retired:
        return []
    last = last_retirement(part)
    if last is None:  # pragma: no cover - a retired part has a change that retired it
        return []
    together = ChangeRow.objects.filter(revision=last.revision_id, field=WHOLE, new_json="null")
    units = Unit.objects.live().filter(rig=part.rig_id).values_list("pk", flat=True)
    here = {str(pk) for pk in (*units, part.pk)}
    return [
        Add(str(row.part), row.kind, {k: v for k, v in row.old.items() if k != "kind"})
        for row in together
        if row.part == part.pk or _comes_along(row, str(part.pk), here)
    ]


def _comes_along(row: ChangeRow, part: str, here: set[str]) -> bool:
    """It belonged to the part, and a cable's other end is still there."""
    points_at = [row.old[name] for name in PART_POINTERS.get(row.kind, ()) if row.old.get(name)]
    return part in points_at and here.issuperset(points_at)
