"""The drops of mains, and what each of them feeds. Everybody who adds up mains asks here."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from uuid import UUID

from core.models import Production
from rigs.checks.supplies import circuit_key
from rigs.models import MainsDrop, Unit


@dataclass(frozen=True, slots=True)
class Fed:
    """A drop with the units that it feeds: those whose mains circuit begins with its name."""

    drop: MainsDrop
    units: tuple[Unit, ...] = ()


def drops_of(production: Production, rigs: Collection[UUID] | None = None) -> list[Fed]:
    """Every drop in use by name, with its units of the rigs in use, or of `rigs`. Two queries.

    The units have their rig and its player at hand.
    """
    drops = MainsDrop.objects.live().filter(production=production)
    plugged: dict[str, list[Unit]] = {}
    for unit in plugged_units(production, rigs):
        plugged.setdefault(circuit_key(unit.mains_circuit), []).append(unit)
    return [Fed(drop, tuple(plugged.get(circuit_key(drop.name), ()))) for drop in drops]


def plugged_units(production: Production, rigs: Collection[UUID] | None = None) -> list[Unit]:
    """The units that name a mains circuit, in the order of the stage. One query."""
    units = Unit.objects.live().filter(rig__production=production, rig__retired=False)
    if rigs is not None:
        units = units.filter(rig__in=rigs)
    named = units.exclude(mains_circuit="").select_related("rig__player")
    return list(named.order_by("rig__player__position", "rig", "position", "pk"))
