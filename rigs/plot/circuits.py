"""Plug units into a drop: each unit names it as its mains circuit, through the gateway."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable
from uuid import UUID

from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy

from core.models import Production, User
from rigs.changes.edits import Set
from rigs.checks.supplies import circuit_key
from rigs.models import Fact, Rig, Unit
from rigs.plot.history import Says
from rigs.revisions.record import Conflict, record

MEANWHILE = gettext_lazy(
    "Someone else changed the mains circuit of one of these units. Look, then save again."
)


def may_be_plugged(production: Production) -> list[Unit]:
    """The units of rigs in use that may need mains: by their kind, a figure, or what is said.

    Two queries; each has its rig and player at hand.
    """
    units = Unit.objects.live().filter(rig__production=production, rig__retired=False)
    drawing = set(
        Fact.objects.live()
        .filter(key="mains_power", rig__production=production)
        .values_list("unit", flat=True)
    )
    in_order = units.select_related("rig__player").order_by(
        "rig__player__position", "rig", "position", "pk"
    )
    return [
        unit
        for unit in in_order
        if unit.mains_circuit
        or unit.mains_rating
        or unit.pk in drawing
        or "mains_power" in unit.traits.figures
    ]


def plug(
    production: Production,
    *,
    name: str,
    earlier: str = "",
    into: Collection[UUID] = (),
    out_of: Collection[UUID] = (),
    by: User,
) -> list[str]:
    """Let units name a drop as their circuit, others no longer; those of an `earlier` name follow.

    Inside a transaction. Returns what changed, in sentences. Raises ValidationError where somebody
    changed one of them meanwhile.
    """
    words, edits = [], defaultdict[Rig, list[Set]](list)
    for unit in may_be_plugged(production):
        circuit = _circuit(unit, name, earlier, into, out_of)
        if circuit == unit.mains_circuit:
            continue
        edits[unit.rig].append(Set(str(unit.pk), "unit", {"mains_circuit": circuit}))
        said = Says.PLUGGED if circuit else Says.UNPLUGGED
        words.append(said.in_english(unit=f"{unit.rig.player}, {unit}", drop=name))
    for rig, of_rig in edits.items():
        _record(rig, of_rig, by)
    return words


def unplug(production: Production, name: str, *, by: User) -> list[str]:
    """Take the circuit off every unit that names it; as `plug`."""
    named = (u for u in may_be_plugged(production) if _names(u, name))
    return plug(production, name=name, out_of={unit.pk for unit in named}, by=by)


def _circuit(
    unit: Unit, name: str, earlier: str, into: Collection[UUID], out_of: Collection[UUID]
) -> str:
    if unit.pk in out_of:
        return ""
    if _names(unit, name):
        return unit.mains_circuit
    follows = bool(earlier) and _names(unit, earlier)
    return name if unit.pk in into or follows else unit.mains_circuit


def _names(unit: Unit, name: str) -> bool:
    return circuit_key(unit.mains_circuit) == circuit_key(name)


def _record(rig: Rig, edits: Iterable[Set], by: User) -> None:
    try:
        record(rig, edits, author=by, base=rig.head_number)
    except Conflict:
        raise ValidationError({"feeds": MEANWHILE}) from None
