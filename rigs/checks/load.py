"""Lay rigs out for the rules, from the database: as many queries for one rig as for many."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from uuid import UUID

from core import clock
from core.models import Show
from rigs.checks.bench import Bench, BenchDevice
from rigs.checks.build import build, number
from rigs.models import Control, Device, Fact, Input, Link, Rig, Spare, Unit
from rigs.revisions.edits import Snapshot
from rigs.revisions.read import parts_of


def benches(rigs: Sequence[Rig]) -> dict[UUID, Bench]:
    """Today's bench of each rig, by the rig's id. Eight queries; none without rigs."""
    if not rigs:
        return {}
    states = snapshots(rigs)
    productions = {rig.production_id for rig in rigs}
    devices, air = devices_of(productions), air_of(productions)
    return {
        rig.pk: build(str(rig.pk), states[rig.pk], devices, air.get(rig.production_id))
        for rig in rigs
    }


def snapshots(rigs: Sequence[Rig]) -> dict[UUID, Snapshot]:
    """The parts of each rig that rules read, photos left out."""
    states: dict[UUID, Snapshot] = {rig.pk: {str(rig.pk): rig.fields()} for rig in rigs}
    for model in (Unit, Control, Fact, Spare, Link, Input):
        for rig, part, fields in parts_of(model, states):
            states[rig][part] = fields
    return states


def devices_of(productions: Iterable[UUID]) -> dict[str, BenchDevice]:
    """Every device of the productions by its id, the retired ones too: a rig may still name one."""
    found = Device.objects.filter(production__in=productions)
    return {str(device.pk): bench_device(device) for device in found}


def bench_device(device: Device) -> BenchDevice:
    # A sensitivity or an impedance of 0 is a field somebody filled to get past it.
    sensitivity = number(device.sensitivity_mv_pa) or None
    return BenchDevice(
        str(device.pk), str(device), device.form, device.principle, device.phantom,
        sensitivity / 1000 if sensitivity else None, number(device.max_spl_db),
        number(device.impedance_ohm) or None,
        device.get_pattern_display() if device.pattern else "",
    )  # fmt: skip


def air_of(productions: Iterable[UUID]) -> dict[UUID, float]:
    """The temperature of each production's next show, where it is stated."""
    shows = Show.objects.filter(
        leg__production__in=productions, retired_at=None, leg__retired_at=None,
        held_on__gte=clock.now().date(),
    )  # fmt: skip
    coming = shows.order_by("held_on").values_list("leg__production", "temperature_c")
    next_shows: dict[UUID, object] = {}
    for production, celsius in coming:
        next_shows.setdefault(production, celsius)
    return {key: value for key, c in next_shows.items() if (value := number(c)) is not None}
