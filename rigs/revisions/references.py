"""Check what parts point at: other parts of their rig, and records of their production."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.models import Player, Section, Song
from rigs.changes.edits import WHOLE, Change
from rigs.models import PARTS, Device, Part, Rig, StoredPhoto

# kind → field → what it points at
POINTERS: dict[str, dict[str, str]] = {
    "control": {"unit": "unit"},
    "fact": {"unit": "unit"},
    "spare": {"unit": "unit"},
    "link": {"source": "unit", "target": "unit"},
    "group": {},
    "member": {"group": "group", "unit": "unit"},
    "input": {"unit": "unit", "device": "device"},
    "source": {"input": "input", "unit": "unit", "group": "group", "player": "player"},
    "photo": {"image": "image", "about": "unit or input"},
    "pin": {"photo": "photo", "about": "unit, control or input"},
    "scene": {"unit": "unit"},
    "scene_entry": {"scene": "scene", "unit": "unit", "control": "control"},
    "song_setting": {
        "song": "song",
        "scene": "scene",
        "section": "section",
        "control": "control",
        "unit": "unit",
        "input": "input",
    },
}


_GONE = {
    "unit": gettext_lazy("This rig has no such unit any more."),
    "group": gettext_lazy("This rig has no such group any more."),
    "input": gettext_lazy("This rig has no such input any more."),
    "control": gettext_lazy("This rig has no such control any more."),
    "scene": gettext_lazy("This rig has no such scene any more."),
    "photo": gettext_lazy("This rig has no such photo any more."),
    "unit or input": gettext_lazy("This rig has no such unit or input any more."),
    "unit, control or input": gettext_lazy("This rig has no such unit, control or input any more."),
    "device": gettext_lazy("This rig has no such device any more."),
    "player": gettext_lazy("This rig has no such player any more."),
    "image": gettext_lazy("This rig has no such image any more."),
    "song": gettext_lazy("This rig has no such song any more."),
    "section": gettext_lazy("This rig has no such section any more."),
}


def kinds_in(target: str) -> tuple[str, ...]:
    """The kinds of part that “unit or input” names; none for what is no part of a rig."""
    return tuple(kind for kind in PARTS if kind in target.replace(",", " ").split())


# kind → its fields that point at parts of the same rig. By kind, because a figure's “source” is
# text where a cable's is a unit.
PART_POINTERS: dict[str, tuple[str, ...]] = {
    kind: tuple(field for field, target in fields.items() if kinds_in(target))
    for kind, fields in POINTERS.items()
}
POINTED_AT = frozenset(
    kind for fields in POINTERS.values() for target in fields.values() for kind in kinds_in(target)
)


def check_references(rig: Rig, changes: list[Change]) -> None:
    """Raise ValidationError, keyed by field, for a pointer to nothing or to another production."""
    added = {c.part: c.kind for c in changes if c.field == WHOLE and c.new is not None}
    removed = {c.part for c in changes if c.field == WHOLE and c.new is None}
    references = [
        (field, target, part)
        for field, target, part in _pointers(changes)
        if not (part in added and added[part] in kinds_in(target))
    ]
    there = _existing(rig, references)
    for field, target, part in references:
        if part in removed or (target, part) not in there:
            raise ValidationError({field: str(_GONE[target])})
    _check_left_behind(rig, removed, changes)


def _pointers(changes: Iterable[Change]) -> Iterator[tuple[str, str, str]]:
    for change in changes:
        known = POINTERS.get(change.kind, {})
        new = change.new if isinstance(change.new, dict) else {change.field: change.new}
        for field, target in known.items():
            if new.get(field):
                yield field, target, str(new[field])


def _existing(rig: Rig, references: Iterable[tuple[str, str, str]]) -> set[tuple[str, str]]:
    """Those (target, id) pairs that exist for `rig`: one query for each kind of target."""
    ids: dict[str, set[UUID]] = defaultdict(set)
    for _field, target, part in references:
        ids[target].add(UUID(part))
    return {
        (target, str(pk))
        for target, sought in ids.items()
        for rows in _rows(rig, target)
        for pk in rows.filter(pk__in=sought).order_by().values_list("pk", flat=True)
    }


def _rows(rig: Rig, target: str) -> list[QuerySet[Any]]:
    """The query sets in which a target is looked for.

    Retired songs, players and devices are among them: what was said of them stays.
    """
    if target == "device":
        return [Device.objects.filter(production=rig.production_id)]
    if target == "image":
        return [StoredPhoto.objects.filter(production=rig.production_id)]
    if target == "player":
        return [Player.objects.filter(production=rig.production_id)]
    if target == "song":
        return [Song.objects.filter(production=rig.production_id)]
    if target == "section":
        return [Section.objects.filter(song__production=rig.production_id)]
    return [in_use(kind, rig.pk) for kind in kinds_in(target)]


def in_use(kind: str, rig: UUID) -> QuerySet[Any]:
    """The live parts of one kind in a rig."""
    model: Any = PARTS[kind]
    live: QuerySet[Any] = model.objects.live().filter(rig=rig)
    return live


def _check_left_behind(rig: Rig, removed: set[str], changes: list[Change]) -> None:
    """Raise ValidationError if a part that stays points at one that is retired."""
    leaving: dict[str, list[UUID]] = defaultdict(list)
    for change in changes:
        if change.part in removed and change.kind in POINTED_AT:
            leaving[change.kind].append(UUID(change.part))
    if not leaving:  # nearly every edit
        return
    moved = {(c.part, c.field) for c in changes}
    for model, field, ids in _pointing_columns(leaving):
        for part in model._default_manager.filter(**{f"{field}__in": ids}, rig=rig):
            here = not part.retired and str(part.pk) not in removed
            # A part that the same edit moves elsewhere is no longer in the way.
            if here and (str(part.pk), field) not in moved:
                raise ValidationError(
                    _("{kind} “{part}” still belongs to it. Move or retire that first.").format(
                        kind=capfirst(str(part._meta.verbose_name)), part=part
                    )
                )


def _pointing_columns(
    leaving: dict[str, list[UUID]],
) -> Iterator[tuple[type[Part], str, list[UUID]]]:
    """Each column that may point at something of what leaves, with the ids to look for."""
    for kind, fields in PART_POINTERS.items():
        model = PARTS[kind]
        if issubclass(model, Part):
            for field in fields:
                ids = [pk for to in kinds_in(POINTERS[kind][field]) for pk in leaving.get(to, ())]
                if ids:
                    yield model, field, ids
