"""Read the plot of a production, or of one show, from the database."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, NamedTuple
from uuid import UUID

from django.db.models import Q
from django.utils.translation import gettext as _

from core.languages.words import each_of, leading
from core.models import Player, Production, Show
from core.units import Length, format_length
from rigs.drawing.kit import Drum
from rigs.gear import Family
from rigs.lists.drops import Fed, drops_of
from rigs.models import Device, Fact, Input, PlotPlace, Riser, StageSize, Unit
from rigs.patch.load import Patch
from rigs.patch.rows import PatchRow, patch_and_rows
from rigs.places import MONITORS, MonitorOnStage
from rigs.plot.facing import facing_words
from rigs.plot.things import (
    Plan,
    Size,
    Spot,
    StagePlot,
    Thing,
    What,
    placed,
    plan_through,
    size_of,
    spot_of,
    stage_for,
)
from rigs.plot.words import size_words
from rigs.shows.players import WhoPlays, who_plays
from rigs.shows.rigs import played_of_production

# Families of gear that stand on a stage and are looked for there.
_STANDS = (Family.AMPLIFIERS, Family.KEYS)
_INCH = "in"


@dataclass(frozen=True, slots=True)
class _Stage:
    """What was read, before it is laid out. `rigs` are the ids of those that play; `at_show` what
    stands elsewhere at the show."""

    production: Production
    places: Mapping[object, PlotPlace]
    at_show: Mapping[object, PlotPlace]
    who: WhoPlays | None
    playing: frozenset[UUID]  # players
    names: Mapping[UUID, str]
    rigs: frozenset[UUID]

    def stands(self, key: object, usual: Any = None) -> _Stands:
        """Where what has the id `key` stands; `usual` is what holds it for all shows, where that is
        no row of its own."""
        usual = self.places.get(key) if usual is None else usual
        own = self.at_show.get(key)
        row = usual if own is None else own
        return _Stands(
            spot_of(row),
            size_of(row),
            getattr(row, "faces", None),
            "" if own is None else _usual_words(usual),
        )


class _Stands(NamedTuple):
    """As in rigs.plot.things.Thing."""

    spot: Spot | None = None
    size: Size | None = None
    faces: int | None = None
    usual: str = ""


def _usual_words(row: Any) -> str:
    return placed(row, facing_words(getattr(row, "faces", None))) or _("not on the plot")


def plot_of(production: Production, show: Show | None = None) -> StagePlot:
    """The stage of all shows, or that of `show` with who plays there.

    At most twenty-six queries, however much stands there; `show.leg` must be at hand.
    """
    stage, absent = _read(production, show)
    patch, rows = patch_and_rows(production, show)
    things = (
        *_risers(stage),
        *_gear(stage, rows),
        *_boxes(stage, patch, rows),
        *_monitors(stage, MONITORS.call(production)),
        *_mains(stage, drops_of(production, stage.rigs)),
        *_players(stage),
    )
    size = _size(production, show)
    width, depth = (
        (float(size.width_m), float(size.depth_m))
        if size and size.width_m and size.depth_m
        else stage_for(things)
    )
    return StagePlot(
        width,
        depth,
        size is not None,
        size.words.rstrip(". ") if size else "",
        size_words(size) if size else "",
        things,
        tuple((f"box-{run.source_id}", f"box-{run.target_id}") for run in patch.runs),
        tuple(absent),
        tuple(leading(each, each.ways) if each.ways else str(each) for each in patch.lent),
    )


def _read(production: Production, show: Show | None) -> tuple[_Stage, list[str]]:
    who = who_plays(show) if show is not None else None
    places: dict[object, PlotPlace] = {}
    at_this: dict[object, PlotPlace] = {}
    of_it = Q(show=None) if show is None else Q(show=None) | Q(show=show)
    for place in PlotPlace.objects.filter(of_it, production=production).order_by():
        (places if place.show_id is None else at_this)[place.of] = place
    if who is None:
        players = list(Player.objects.live().filter(production=production))
        names = {each.pk: _named(each) for each in players}
        rigs = frozenset(rig.pk for rig in played_of_production(production))
        return _Stage(production, places, {}, None, frozenset(names), names, rigs), []
    playing = {each.player.pk: each.name for each in who.players if each.plays}
    at_show = frozenset(rig.rig.pk for each in who.players for rig in each.rigs if rig.plays)
    absent = [str(each.player) for each in who.players if not each.plays]
    return _Stage(production, places, at_this, who, frozenset(playing), playing, at_show), absent


def _named(player: Player) -> str:
    return _("{player}, guest").format(player=player) if player.guest else str(player)


def _size(production: Production, show: Show | None) -> StageSize | None:
    """What is said of the stage of `show`, else of that of all shows. One query."""
    sizes = StageSize.objects.filter(production=production)
    said = {size.show_id: size for size in sizes}
    own = said.get(show.pk) if show is not None else None
    return own or said.get(None)


def _plays(stage: _Stage, player: UUID | None) -> bool:
    return player is None or player in stage.playing


def _risers(stage: _Stage) -> Iterator[Thing]:
    for riser in Riser.objects.live().filter(production=stage.production):
        if not _plays(stage, riser.player_id):
            continue
        height = size_words(_Height(riser.height_m, riser.height_unit)) if riser.height_m else ""
        tall = format_length(riser.height_m, riser.height_unit) if riser.height_m else ""
        stands = stage.stands(riser.pk, riser)
        yield Thing(
            f"riser-{riser.pk}",
            What.RISER,
            riser.name,
            stands.spot,
            size_of(riser),
            faces=stands.faces,
            usual=stands.usual,
            turns=True,
            mark=each_of([riser.name, tall]),
            whose=stage.names.get(riser.player_id, "") if riser.player_id else "",
            height=height,
            more=(riser.words,) if riser.words else (),
        )


@dataclass(frozen=True, slots=True)
class _Height:
    height_m: Decimal | None
    height_unit: str


def _players(stage: _Stage) -> Iterator[Thing]:
    for pk, name in stage.names.items():
        stands = stage.stands(pk)
        yield Thing(f"player-{pk}", What.PLAYER, name, stands.spot, usual=stands.usual)


def _boxes(stage: _Stage, patch: Patch, rows: Sequence[PatchRow]) -> Iterator[Thing]:
    used: dict[str, set[int]] = {}
    for way in (way for row in rows for way in row.line.passed):
        used.setdefault(way.box, set()).add(way.number)
    for box in patch.boxes:
        taken = _("{used} of {ways} ways in use").format(
            used=len(used.get(str(box.pk), ())), ways=box.ways
        )
        plugged = _("plugged: {run}")
        runs = [plugged.format(run=run) for run in patch.runs if run.source_id == box.pk]
        lent = [leading(each, each.ways) for each in patch.lent if each.box_id == box.pk]
        stands = stage.stands(box.pk)
        yield Thing(
            f"box-{box.pk}",
            What.BOX,
            f"{box.name} ({box.mark})",
            stands.spot,
            usual=stands.usual,
            mark=box.mark,
            said=box.place,
            more=(taken, *runs, *lent),
        )


def _monitors(stage: _Stage, told: Iterable[Iterable[MonitorOnStage]]) -> Iterator[Thing]:
    for monitor in (each for answer in told for each in answer):
        if not _plays(stage, monitor.player):
            continue
        yield Thing(
            f"monitor-{monitor.id}",
            What.MONITOR,
            monitor.name,
            **stage.stands(monitor.id)._asdict(),
            turns=True,
            whose=stage.names.get(monitor.player, "") if monitor.player else "",
            said=monitor.position,
            more=(monitor.kind,),
            sized=True,
        )


def _mains(stage: _Stage, drops: Iterable[Fed]) -> Iterator[Thing]:
    for fed in drops:
        stands = stage.stands(fed.drop.pk, fed.drop)
        units = _(", ").join(f"{unit} ({unit.rig.player})" for unit in fed.units)
        feeds = _("feeds {units}").format(units=units) if units else ""
        yield Thing(
            f"mains-{fed.drop.pk}",
            What.MAINS,
            fed.drop.labelled,
            stands.spot,
            usual=stands.usual,
            mark=fed.drop.name,
            said=fed.drop.place,
            more=tuple(filter(None, [feeds, fed.drop.supply])),
        )


def _gear(stage: _Stage, rows: Sequence[PatchRow]) -> Iterator[Thing]:
    """The units of the rigs that play, and the microphones at them."""
    units = Unit.objects.live().filter(rig__in=stage.rigs).select_related("rig__player")
    by_rig: dict[UUID, list[Unit]] = {}
    for unit in units.order_by("rig__player__position", "rig", "position", "pk"):
        by_rig.setdefault(unit.rig_id, []).append(unit)
    figures = _figures(stage)
    plans: dict[UUID, Plan] = {}
    for rig, of_rig in by_rig.items():
        plan = _plan(stage, of_rig)
        if plan is not None:
            plans[rig] = plan
        yield from _units(stage, of_rig, plan, figures)
    yield from _stands(stage, rows, plans)


def _figures(stage: _Stage) -> dict[UUID, dict[str, Decimal]]:
    """The measures of drums, by unit and figure. One query."""
    facts = Fact.objects.live().filter(key__in=("diameter", "shell_depth"), rig__in=stage.rigs)
    found: dict[UUID, dict[str, Decimal]] = {}
    for unit, key, value in facts.values_list("unit", "key", "value"):
        found.setdefault(unit, {})[key] = value
    return found


def _measured(part: Unit | Input) -> tuple[Decimal, Decimal] | None:
    """Where it is in the plan of its kit; None where nobody measured it."""
    if part.plan_right_m is None or part.plan_front_m is None:
        return None
    return part.plan_right_m, part.plan_front_m


def _plan(stage: _Stage, units: Sequence[Unit]) -> Plan | None:
    """Where the plan of a kit lies on the stage: one of its drums is placed on both."""
    for unit in units:
        stands = stage.stands(unit.pk)
        if stands.spot and (measured := _measured(unit)):
            return plan_through(stands.spot, *measured, stands.faces or 0, f"unit-{unit.pk}")
    return None


def _planned(part: Unit | Input, plan: Plan | None) -> Spot | None:
    """Where its kit's plan has it on the stage."""
    measured = _measured(part)
    return plan.spot(*measured, part.plan_right_unit) if plan and measured else None


def _units(
    stage: _Stage,
    units: Sequence[Unit],
    plan: Plan | None,
    figures: Mapping[UUID, Mapping[str, Decimal]],
) -> Iterator[Thing]:
    anchor = _anchor(units)
    for unit in units:
        stands = stage.stands(unit.pk)
        planned = None if stands.spot else _planned(unit, plan)
        asked = unit == anchor if unit.traits.of_a_kit else _stands_there(unit)
        if stands.spot is None and planned is None and not asked:
            continue
        drum = unit.traits.of_a_kit
        size = _drum_size(unit, figures.get(unit.pk, {})) if drum else stands.size
        yield Thing(
            f"unit-{unit.pk}",
            What.DRUM if drum else What.UNIT,
            unit.name,
            stands.spot or planned,
            size,
            faces=plan.faces or None if planned and plan else stands.faces,
            usual=stands.usual,
            follows=plan.anchor if planned and plan else "",
            turns=planned is None,
            whose=stage.names.get(unit.rig.player_id, str(unit.rig.player)),
            said=unit.stage_position,
            more=_on_mains(unit),
            round=drum and not _drum(unit, {}).lies,
            sized=not drum,
        )


def _on_mains(unit: Unit) -> tuple[str, ...]:
    if not unit.mains_circuit:
        return ()
    return (_("mains: {circuit}").format(circuit=unit.mains_circuit),)


def _anchor(units: Sequence[Unit]) -> Unit | None:
    """The drum by which a kit is put on the stage: the nearest to the zero of its plan."""
    drums = [unit for unit in units if unit.traits.of_a_kit]
    measured = [unit for unit in drums if _measured(unit)]

    def away(unit: Unit) -> Decimal:
        return abs(unit.plan_right_m or Decimal(0)) + abs(unit.plan_front_m or Decimal(0))

    return min(measured, key=away, default=drums[0] if drums else None)


def _stands_there(unit: Unit) -> bool:
    """Whether it is worth asking for its place: it stands by itself, or is said to."""
    traits = unit.traits
    return bool(unit.stage_position) or (
        traits.family in _STANDS and not traits.in_ears and not traits.person
    )


def _drum(unit: Unit, figures: Mapping[str, Decimal]) -> Drum:
    diameter, depth = figures.get("diameter"), figures.get("shell_depth")
    return Drum(
        unit,
        0.0,
        0.0,
        float(diameter) if diameter is not None else None,
        float(depth) if depth is not None else None,
    )


def _drum_size(unit: Unit, figures: Mapping[str, Decimal]) -> Size | None:
    drum = _drum(unit, figures)
    if drum.size is None:
        return None
    wide, deep = figures["diameter"], figures["shell_depth" if drum.lies else "diameter"]
    return Size(Length(wide, _INCH), Length(deep, _INCH))


def _stands(stage: _Stage, rows: Sequence[PatchRow], plans: Mapping[UUID, Plan]) -> Iterator[Thing]:
    for row in rows:
        entry = row.day.entry
        if entry.device is None or entry.device.form != Device.Form.MIC:
            continue
        stands, plan = stage.stands(entry.pk), plans.get(entry.rig_id)
        planned = None if stands.spot else _planned(entry, plan)
        spot = stands.spot or planned
        # What is clipped on has no place of its own; a kit's have theirs as soon as it is placed.
        if spot is None and (_measured(entry) or not entry.stand):
            continue
        yield Thing(
            f"input-{entry.pk}",
            What.STAND,
            _("{name}, channel {number}").format(name=entry.name, number=entry.number)
            if entry.number
            else entry.name,
            spot,
            mark=str(entry.number or entry.name),
            whose=stage.names.get(entry.rig.player_id, str(entry.rig.player)),
            more=tuple(filter(None, [entry.stand, row.line.path.replace("\u00a0", " ")])),
            follows=plan.anchor if planned and plan else "",
            usual=stands.usual,
        )
