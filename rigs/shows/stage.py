"""Lay the stage of a show out for the rules, from the database."""

from __future__ import annotations

from collections.abc import Sequence

from core.models import Show
from rigs.checks.build import number
from rigs.checks.stage import Stage, StageDevice, StageInput, StageRig, StageUnit
from rigs.lists.input_list import DayInput
from rigs.models import Fact, Rig, ShowHire, Unit
from rigs.shows.rigs import rigs_at
from rigs.shows.services import rows_of


def stage_of(show: Show) -> Stage:
    """The stage of `show`: the rigs that play, with that day's inputs.

    At most eleven queries, however much plays; `show.leg.production` must be at hand.
    """
    playing = [each.rig for each in rigs_at(show) if each.plays]
    ids = {rig.pk for rig in playing}
    rows = [row for row in rows_of(show, rigs=ids) if not row.absent]
    return Stage(
        str(show.pk),
        tuple(StageRig(str(r.pk), r.name, str(r.player_id), str(r.player)) for r in playing),
        tuple(_input(row) for row in rows),
        tuple(_units(playing)),
        _devices(show, rows),
    )


def _input(row: DayInput) -> StageInput:
    entry = row.entry
    return StageInput(
        str(entry.pk),
        entry.name,
        str(entry.rig.player),
        entry.number,
        str(entry.device_id or ""),
        str(entry.unit_id or ""),
        entry.stage_position,
        row.hired_locally,
    )


def _devices(show: Show, rows: Sequence[DayInput]) -> dict[str, StageDevice]:
    """The devices that the day's inputs name. Hires are matched by name, as on the pack list."""
    hires = ShowHire.objects.filter(show=show, section=ShowHire.HireSection.DEVICES)
    # One row for each name: the hires of a show are unique by section and name.
    hired = dict(hires.values_list("what", "count"))
    named = {row.entry.device for row in rows if row.entry.device is not None}
    return {
        str(each.pk): StageDevice(str(each.pk), str(each), each.owned, hired.get(str(each), 0))
        # A set has no order, and findings should come in the same one each time.
        for each in sorted(named, key=lambda device: (str(device), str(device.pk)))
    }


def _units(rigs: Sequence[Rig]) -> list[StageUnit]:
    """The units of `rigs` that are said to be plugged in somewhere. Two queries."""
    players = {rig.pk: str(rig.player) for rig in rigs}
    units = Unit.objects.live().filter(rig__in=players).exclude(mains_circuit="")
    facts = Fact.objects.live().filter(key="mains_power", unit__rig__in=players)
    watts = dict(facts.values_list("unit", "value"))
    return [
        StageUnit(
            str(unit.pk),
            unit.name,
            players[unit.rig_id],
            unit.mains_circuit,
            number(watts.get(unit.pk)),
        )
        for unit in units.order_by("rig", "position", "pk")
    ]
