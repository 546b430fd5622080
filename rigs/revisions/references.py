"""Parts point at each other and at the catalogue; nothing may point at what is not there."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db.models import Q

from rigs.models import Control, Device, Fact, Input, Link, Photo, Rig, StoredPhoto, Unit
from rigs.revisions.edits import WHOLE, Change

# kind → field → what it points at
POINTERS: dict[str, dict[str, str]] = {
    "control": {"unit": "unit"},
    "fact": {"unit": "unit"},
    "link": {"source": "unit", "target": "unit"},
    "input": {"unit": "unit", "device": "device"},
    "photo": {"image": "image", "about": "unit or input"},
}


def check_references(rig: Rig, changes: list[Change]) -> None:
    """Raise ValidationError, keyed by field, for a pointer to nothing or to another production."""
    added = {c.part: c.kind for c in changes if c.field == WHOLE and c.new is not None}
    removed = {c.part for c in changes if c.field == WHOLE and c.new is None}
    for field, target, part in _pointers(changes):
        if part in added and added[part] in target:
            continue
        if part in removed or not _exists(rig, target, part):
            raise ValidationError({field: f"This rig has no such {target} any more."})
    _check_left_behind(rig, removed, changes)


def _pointers(changes: Iterable[Change]) -> Iterator[tuple[str, str, str]]:
    for change in changes:
        known = POINTERS.get(change.kind, {})
        new = change.new if isinstance(change.new, dict) else {change.field: change.new}
        for field, target in known.items():
            if new.get(field):
                yield field, target, str(new[field])


def _exists(rig: Rig, target: str, part: str) -> bool:
    if target == "device":
        return Device.objects.filter(pk=part, production=rig.production_id).exists()
    if target == "image":
        return StoredPhoto.objects.filter(pk=part, production=rig.production_id).exists()
    if target == "unit":
        return Unit.objects.live().filter(pk=part, rig=rig).exists()
    return any(m.objects.live().filter(pk=part, rig=rig).exists() for m in (Unit, Input))


def _check_left_behind(rig: Rig, removed: set[str], changes: list[Change]) -> None:
    """What leaves must not be pointed at by what stays."""
    leaving = [UUID(c.part) for c in changes if c.part in removed and c.kind in ("unit", "input")]
    if not leaving:
        return
    freed = {(c.part, c.field) for c in changes if c.field in ("unit", "source", "target", "about")}
    queries = (
        (Control, "unit", Q(unit__in=leaving)),
        (Fact, "unit", Q(unit__in=leaving)),
        (Link, "source", Q(source__in=leaving)),
        (Link, "target", Q(target__in=leaving)),
        (Input, "unit", Q(unit__in=leaving)),
        (Photo, "about", Q(about__in=leaving)),
    )
    for model, field, query in queries:
        for part in model.objects.live().filter(query, rig=rig):
            if str(part.pk) not in removed and (str(part.pk), field) not in freed:
                raise ValidationError(
                    f"The {part.KIND} “{part}” still belongs to it. Move or retire that first."
                )
