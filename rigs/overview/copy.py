"""Copy a rig or a unit; the copy says in its notes and its history where it came from."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any
from uuid import uuid4

from django.db import transaction

from rigs.changes.edits import Add, Snapshot
from rigs.changes.reasons import Reason
from rigs.editing.ordering import next_position
from rigs.models import Rig, Unit
from rigs.models.revisions import Origin
from rigs.revisions.read import live
from rigs.revisions.record import create, record
from rigs.revisions.references import PART_POINTERS

if TYPE_CHECKING:
    from core.models import Player, User


@transaction.atomic
def copy_rig(*, rig: Rig, name: str, variant: str, player: Player, author: User) -> Rig:
    """A new rig with every unit, control, cable, input, photo and pin of `rig` as it is now, and
    with what songs change on them."""
    # Locked, so that the copy is of exactly the change that its origin names.
    rig = Rig.objects.select_for_update().get(pk=rig.pk)
    # English, whoever copies: it is stored, and digests cover it.
    origin = Origin.RIG.in_english(rig=rig, number=rig.head_number)
    made = Rig(
        production=rig.production,
        player=player,
        name=name,
        variant=variant,
        sound=rig.sound,
        notes=_below(rig.notes, origin, 8000),
    )
    parts = {part: fields for part, fields in live(rig).items() if fields["kind"] != "rig"}
    create(made, author=author, parts=renewed(parts), reason=Reason(words=origin))
    return made


@transaction.atomic
def copy_unit(*, unit: Unit, name: str, into: Rig, author: User) -> Unit:
    """A new unit of `into` with what `unit` has set on it and its scenes, but without its serial
    number. In another rig its scenes set the unit alone: the other units are not there."""
    into = Rig.objects.select_for_update().get(pk=into.pk)
    own = str(unit.pk)
    # English, whoever copies: it is stored, and digests cover it.
    origin = Origin.UNIT.in_english(unit=unit, rig=unit.rig)
    state = live(unit.rig)
    parts = {part: fields for part, fields in state.items() if _goes_along(fields, own)}
    is_near = unit.rig_id == into.pk
    parts |= {part: f for part, f in state.items() if _set_by_scene(f, parts, own, is_near)}
    parts[own] = {
        **unit.fields(),
        "name": name,
        # A serial number belongs to one device, and the copy is another.
        "serial": "",
        "notes": _below(unit.notes, origin, 4000),
        "position": next_position(Unit(rig=into)),
    }
    adds = renewed(parts)
    record(into, adds, author=author, base=into.head_number, reason=Reason(words=origin))
    return Unit.objects.get(pk=next(add.part for add in adds if add.kind == "unit"))


def _goes_along(fields: Mapping[str, Any], unit: str) -> bool:
    """Whether a part goes along with a copied unit: its controls, figures, spares and scenes do.

    What songs change does not, nor what scenes of other units set on it, since only people know
    which of two like units is meant.
    """
    return fields["kind"] in ("control", "fact", "spare", "scene") and fields.get("unit") == unit


def _set_by_scene(fields: Mapping[str, Any], parts: Snapshot, unit: str, is_near: bool) -> bool:
    """Whether a part is what one of the scenes in `parts` sets, on the copied unit or `is_near`."""
    if fields["kind"] != "scene_entry" or fields.get("scene") not in parts:
        return False
    return is_near or fields.get("unit") == unit or fields.get("control") in parts


def renewed(parts: Snapshot) -> list[Add]:
    """The parts under new ids, pointing at each other as before; units come first."""
    ids = {part: str(uuid4()) for part in parts}
    adds = [Add(ids[p], str(f["kind"]), dict(_repointed(f, ids))) for p, f in parts.items()]
    return sorted(adds, key=lambda add: add.kind != "unit")


def _repointed(fields: Mapping[str, Any], ids: Mapping[str, str]) -> Iterable[tuple[str, Any]]:
    pointers = PART_POINTERS.get(str(fields["kind"]), ())
    for name, value in fields.items():
        if name != "kind":
            yield name, ids.get(str(value), value) if name in pointers else value


def _below(notes: str, line: str, limit: int) -> str:
    """`notes` with `line` below them; `notes` alone where both exceed `limit` characters."""
    joined = f"{notes}\n{line}".strip()
    return joined if len(joined) <= limit else notes
