"""Lay the stage of a show out for the rules, from the database."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from uuid import UUID

from django.db.models import OuterRef, Q, Subquery

from core.languages.words import in_every_language
from core.models import Production, Show
from rigs.checks.build import number
from rigs.checks.stage import (
    ChangesOfSet,
    PatchOfStage,
    Stage,
    StageDevice,
    StageInput,
    StageLine,
    StageRadio,
    StageRig,
    StageUnit,
)
from rigs.checks.supplies import circuit_key
from rigs.lists.input_list import DayInput
from rigs.models import Control, Fact, Link, MainsDrop, Rig, ShowHire, Unit
from rigs.places import PATCH, SET_CHANGES, UnitTonight
from rigs.radio import CHANNEL, MHZ, on_air
from rigs.revisions.sources import heard_of
from rigs.shows.rigs import rigs_at
from rigs.shows.services import rows_of, tonight_at

_NO_PATCH = PatchOfStage({}, False)


def stage_of(show: Show) -> Stage:
    """The stage of `show`: the rigs that play, with that day's inputs and where they land.

    At most nineteen queries, and nineteen more where songs change something; however much plays.
    `show.leg.production` must be at hand.
    """
    playing = [each.rig for each in rigs_at(show) if each.plays]
    known, tonight = {rig.pk: rig for rig in playing}, tonight_at(show)
    rows = rows_of(show, rigs=set(known), known=known, tonight=tonight)
    rows = [row for row in rows if not row.absent]
    patch = PATCH.first(show.leg.production, show) or _NO_PATCH
    return Stage(
        str(show.pk),
        tuple(StageRig(str(r.pk), r.name, str(r.player_id), str(r.player)) for r in playing),
        stage_inputs(rows, patch),
        tuple(_units(playing, _supplies(show.leg.production))),
        _devices(show, rows),
        patch.has_boxes,
        tuple(_radios(playing, tonight)),
        SET_CHANGES.first(show, playing) or ChangesOfSet({}),
    )


def stage_inputs(rows: Iterable[DayInput], patch: PatchOfStage) -> tuple[StageInput, ...]:
    """`rows` laid out for the rules, each with where its line lands."""
    return tuple(_input(row, patch.lines.get(str(row.entry.pk), StageLine())) for row in rows)


def _input(row: DayInput, line: StageLine) -> StageInput:
    entry = row.entry
    return StageInput(
        str(entry.pk),
        entry.name,
        str(entry.rig.player),
        entry.number,
        str(entry.device_id or ""),
        frozenset(heard_of(row.listed).picked.units),
        entry.stage_position,
        row.hired_locally,
        entry.phantom,
        line,
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


def _supplies(production: Production) -> dict[str, str]:
    """What is at each drop of mains, in words, by the key of its name. One query."""
    drops = MainsDrop.objects.live().filter(production=production)
    return {circuit_key(drop.name): drop.labelled for drop in drops if drop.has_figures}


def _units(rigs: Sequence[Rig], supplies: Mapping[str, str]) -> list[StageUnit]:
    """The units of `rigs` that are said to be plugged in somewhere. One query.

    What is said of a drop counts before what its units say of their circuit.
    """
    players = {rig.pk: str(rig.player) for rig in rigs}
    watts = Fact.objects.live().filter(key="mains_power", unit=OuterRef("pk")).order_by()
    units = Unit.objects.live().filter(rig__in=players).exclude(mains_circuit="")
    units = units.annotate(watts=Subquery(watts.values("value")[:1]))
    return [
        StageUnit(
            str(unit.pk),
            unit.name,
            players[unit.rig_id],
            supplies.get(circuit_key(unit.mains_circuit), unit.mains_circuit),
            number(unit.watts),
        )
        for unit in units.order_by("rig", "position", "pk")
    ]


def _radios(rigs: Sequence[Rig], tonight: Mapping[UUID, UnitTonight]) -> Iterable[StageRadio]:
    """The units of `rigs` that are on the air, as they are at the show. Two queries, one where no
    unit is."""
    players = {rig.pk: str(rig.player) for rig in rigs}
    said = Control.objects.live().filter(rig__in=players, unit__retired=False)
    said = said.filter(Q(symbol__in=(MHZ, "kHz")) | Q(name__in=in_every_language(CHANNEL))).exclude(
        setting=""
    )
    controls: dict[UUID, list[tuple[str, str, str]]] = defaultdict(list)
    names: dict[UUID, tuple[str, UUID]] = {}
    order = ("rig", "unit__position", "unit", "position", "pk")
    columns = ("unit", "unit__name", "rig", "name", "symbol", "setting")
    for unit, called, rig, *control in said.order_by(*order).values_list(*columns):
        names[unit] = (called, rig)
        controls[unit].append((control[0], control[1], control[2]))
    names |= {u: (e.name, e.rig) for u, e in tonight.items() if e.radio and e.rig in players}
    found = {
        unit: tonight[unit].radio if unit in tonight else on_air(controls[unit]) for unit in names
    }
    heard = {unit: radio for unit, radio in found.items() if radio is not None}
    links = Link.objects.live().filter(rig__in=players, carries=Link.Carries.RADIO)
    ends = list(links.values_list("source", "target")) if len(heard) > 1 else []
    for unit, radio in heard.items():
        name, rig = names[unit]
        other = {b if a == unit else a for a, b in ends if unit in (a, b)}
        yield StageRadio(
            str(unit), name, players[rig], radio, frozenset(str(each) for each in other)
        )
