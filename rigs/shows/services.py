"""One show: its list of inputs with that day’s differences, the writing of them, its pack list."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any, NamedTuple
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext_lazy

from core.composed import Composed, column
from core.languages.words import apart
from core.models import Leg, Production, Show, User
from rigs.changes.edits import Value
from rigs.checks.bench import BenchDevice, BenchInput, BenchUnit
from rigs.checks.build import between, number
from rigs.checks.load import bench_device
from rigs.checks.loudness import FIGURE
from rigs.checks.suits import suits
from rigs.lists.input_list import DayInput, applied, inputs_of, of_day
from rigs.lists.pack import make_of, pack_of
from rigs.lists.pack_of_show import Came, DaySection, day_pack
from rigs.models import Device, Fact, Input, Rig, ShowHire, ShowInput, Unit
from rigs.places import UNITS_TONIGHT, UnitTonight
from rigs.revisions.sources import heard_of
from rigs.revisions.swaps import SwapUndecided, swap_of, swaps_between
from rigs.shows.players import WhoPlays, dep_names, who_of_leg, who_plays
from rigs.shows.rigs import played_at
from rigs.swaps import FIELDS, Channel, Swap, channel, open_swaps

# What a swap makes doubtful and the list of one day does not hold; the cautions of the day say it.
_NOT_OF_A_DAY = [name for name in FIELDS if name not in ShowInput.OVERRIDES]
RETIRED_SHOW = gettext_lazy("This show is retired. Restore it before changing its list.")
RETIRED_INPUT = gettext_lazy("This input is retired. Restore it before saying what differs.")


def differences_of(show: Show) -> dict[UUID, ShowInput]:
    """The differences at `show`, by the id of the input. One query."""
    return {row.input_id: row for row in _differences(show.pk)}


_differences = Composed(
    lambda show: ShowInput.objects.filter(show=show).select_related("device"), column(Show)
)


def rows_of(
    show: Show,
    variants: Sequence[str] = (),
    rigs: Collection[UUID] | None = None,
    *,
    who: WhoPlays | None = None,
    known: Mapping[UUID, Rig] | None = None,
    tonight: Mapping[UUID, UnitTonight] | None = None,
) -> list[DayInput]:
    """The input list of `show`, by that day's channels, with what differs and what to mind: of the
    rigs that play, unless `variants` or `rigs` are asked for.

    `who` plays and what of units is other `tonight` are read where they are not passed in; `known`
    are rigs with their players. At most twelve queries, however many inputs;
    `show.leg.production` must be at hand.
    """
    if who is not None:
        known = {rig.pk: rig for rig in who.rigs_in_order}
    if rigs is None and not variants:
        rigs = who.rigs if who else played_at([show])[show.pk]
    inputs = inputs_of(show.leg.production, variants, rigs, known)
    rows = of_day(inputs, differences_of(show))
    # Levels are read only for inputs whose device was replaced: only those get cautions.
    loud = _loudness(row.listed for row in rows if row.is_substituted)
    deps = who.dep_names if who else dep_names(show)
    if tonight is None:
        tonight = tonight_at(show)
    return [
        replace(
            row,
            cautions=tuple(cautions(row, loud)),
            dep=deps.get(row.entry.rig.player_id, ""),
            unit_tonight=_of_units(row.listed, tonight),
        )
        for row in rows
    ]


def tonight_at(show: Show) -> Mapping[UUID, UnitTonight]:
    """The units that differ at `show`, by their ids (rigs.places.UNITS_TONIGHT)."""
    return UNITS_TONIGHT.first(show) or {}


def _of_units(listed: Input, tonight: Mapping[UUID, UnitTonight]) -> str:
    """What differs of the units that an input of a list picks up."""
    heard = (UUID(unit) for unit in heard_of(listed).picked.units)
    return apart(tonight[unit].line for unit in heard if unit in tonight)


def row_of(show: Show, entry: Input) -> DayInput:
    """One input at `show`. Four queries beyond `entry` with its device, two more with groups."""
    stored = ShowInput.objects.filter(show=show, input=entry).select_related("device").first()
    row = of_day([entry], {entry.pk: stored} if stored else {})[0]
    loud = _loudness([entry] if row.is_substituted else [])
    return replace(row, cautions=tuple(cautions(row, loud)))


def cautions(row: DayInput, loud: Mapping[str, float]) -> list[str]:
    """Sentences on what to mind about a device that stands in, if the input is used that day."""
    if row.absent or not row.is_substituted or row.entry.device is None:
        return []
    listed = channel_of(row.listed)
    return suits(bench_device(row.entry.device), _bench_input(row, loud), listed)


def _bench_input(row: DayInput, loud: Mapping[str, float]) -> BenchInput:
    """That day's settings, with the device that is replaced."""
    day, heard = row.entry, heard_of(row.listed)
    units = [
        BenchUnit(pk, heard.names[pk], "", facts={FIGURE: loud[pk]} if pk in loud else {})
        for pk in heard.picked.units
    ]
    return BenchInput(
        id=str(day.pk),
        name=day.name,
        also=tuple(units),
        device=bench_device(row.listed.device) if row.listed.device else None,
        phantom=day.phantom,
        pad=between(day.pad_db, -60, 0) or 0.0,
        pad_at=day.pad_at,
        ground_lift=day.ground_lift,
        gain=between(day.gain_db, -30, 90),
    )


def channel_of(entry: Input) -> Channel:
    return channel(entry.fields())


def _loudness(inputs: Iterable[Input]) -> dict[str, float]:
    """The level at the microphone in dB SPL of what `inputs` pick up, by unit id, where stated. One
    query, or none; what they pick up is at hand."""
    ids = {unit for entry in inputs for unit in heard_of(entry).picked.units}
    if not ids:
        return {}
    facts = Fact.objects.live().filter(key=FIGURE, unit__in=ids)
    values = facts.values_list("unit_id", "value")
    return {str(unit): level for unit, value in values if (level := number(value)) is not None}


class StandIn(NamedTuple):
    """A device that could stand in, what to mind about it, and what would be set to be safe."""

    device: Device
    cautions: list[str]
    safe: list[str]


def stand_ins(row: DayInput, production: Production) -> list[StandIn]:
    """The devices of the catalogue that could stand in, fewest cautions first. Two queries.

    DI boxes stand in for a DI box and microphones for a microphone; either where none is named.
    """
    devices = Device.objects.live().filter(production=production)
    if row.listed.device is not None:
        devices = devices.filter(form=row.listed.device.form).exclude(pk=row.listed.device.pk)
    entry = _bench_input(row, _loudness([row.listed]))
    known = {str(device.pk): bench_device(device) for device in devices}
    if row.entry.device is not None:
        known[str(row.entry.device_id)] = bench_device(row.entry.device)
    choices = [
        StandIn(
            device,
            suits(known[str(device.pk)], entry, channel_of(row.listed)),
            _safe_for(row, device, known),
        )
        for device in devices
    ]
    # By name within the same number of cautions, so that the order does not change between visits.
    return sorted(choices, key=lambda each: (len(each.cautions), str(each.device)))


def _safe_for(row: DayInput, device: Device, known: Mapping[str, BenchDevice]) -> list[str]:
    part, now = str(row.entry.pk), row.entry.fields()
    then = {**now, "device": str(device.pk)}
    swaps = open_swaps({part: now}, {part: then}, known, {part: _NOT_OF_A_DAY})
    return [doubt.proposal for swap in swaps for doubt in swap.doubts]


class ShowDifferences(NamedTuple):
    """How much of a show's lists differs."""

    show: Show
    differing: int
    absent: int
    hired: int
    who: WhoPlays


def tallies(leg: Leg) -> list[ShowDifferences]:
    """How much differs at each show of a leg. Six queries, however many shows.

    Inputs that have left their rig since do not count.
    """
    who = who_of_leg(leg)
    shows = [each.show for each in who.values()]
    differing, absent, hired = Counter[UUID](), Counter[UUID](), Counter[UUID]()
    rows = ShowInput.objects.filter(
        show__in=shows, input__retired=False, input__rig__retired=False
    ).order_by()
    for show, is_absent, is_hired in rows.values_list("show_id", "absent", "hired_locally"):
        differing[show] += 1
        absent[show] += is_absent
        # Nothing is hired for an input that is not used.
        hired[show] += is_hired and not is_absent
    counts = ShowHire.objects.filter(show__in=shows).order_by().values_list("show_id", "count")
    for show, count in counts:
        hired[show] += count
    return [
        ShowDifferences(s, differing[s.pk], absent[s.pk], hired[s.pk], who[s.pk]) for s in shows
    ]


@transaction.atomic
def differ(
    show: Show,
    entry: Input,
    *,
    by: User,
    decided: Collection[str] | None = None,
    **values: Any,
) -> ShowInput | None:
    """Store what is different about `entry` at `show`; fields that are not named stay.

    `values` are fields of ShowInput. A value that is the list's own is no difference. Where nothing
    differs any more there is no row, and None comes back. The rig is never touched. `decided` names
    the fields that were set knowing which device they are for; left out, those with a value. Raises
    ValidationError, keyed by field, and SwapUndecided. Who may is for the caller to ask
    (Action.EDIT_RIG; Action.LINE_CHECK at the show itself). One transaction.
    """
    # Two people on one show take turns; nobody is told that a row is there already.
    held = Show.objects.select_for_update().get(pk=show.pk)
    check_live(held, entry)
    stored = ShowInput.objects.filter(show=show, input=entry).first()
    row = stored or ShowInput(show=show, input=entry)
    before = applied(entry, stored).fields()
    for name, value in values.items():
        setattr(row, name, value)
    row.by, row.by_name = by, by.name
    row.stamp("at")
    # Converts the values as well, which are compared with those of the list next.
    row.clean_fields()
    known = decided if decided is not None else [n for n, v in values.items() if v is not None]
    _check_swap(entry, before, row, known)
    _leave_out_what_is_listed(row, entry)
    if row.is_as_listed:
        if stored is not None:
            stored.delete()
        return None
    # A new row starts at 1, so that a page opened without one (version 0) is recognised.
    row.version = row.version + 1 if stored is not None else 1
    row.full_clean()
    row.save()
    return row


def _check_swap(
    entry: Input, before: dict[str, Value], row: ShowInput, decided: Collection[str]
) -> None:
    """Raise SwapUndecided if the day's device is another one and a setting is left undecided."""
    part, then = str(entry.pk), applied(entry, row).fields()
    if undecided := swaps_between({part: before}, {part: then}, {part: {*decided, *_NOT_OF_A_DAY}}):
        raise SwapUndecided(undecided)


def doubtful_with(row: DayInput, device: Device | None) -> list[Swap]:
    """The doubts of that day where `device` takes the place of what is in use.

    None stands for the list's own device. One query, or none.
    """
    microphone = device or row.listed.device
    return swap_of(
        row.entry, _NOT_OF_A_DAY, device=str(microphone.pk) if microphone is not None else None
    )


def as_listed(show: Show, entry: Input, *, by: User) -> None:
    """Take back all that differs of `entry` at `show`. Raises as `differ`."""
    names = (*ShowInput.OVERRIDES, "absent", "hired_locally")
    empty = {name: _nothing(name) for name in names}
    # The list was made for its own device.
    differ(show, entry, by=by, decided=FIELDS, **empty)


def check_live(show: Show, entry: Input) -> None:
    """Raise ValidationError where the show or the input is retired."""
    if show.is_retired:
        raise ValidationError(RETIRED_SHOW)
    if entry.retired or entry.rig.retired:
        raise ValidationError(RETIRED_INPUT)


def _leave_out_what_is_listed(row: ShowInput, entry: Input) -> None:
    """Empty the fields whose value is the list's own, since they are no difference."""
    changed = applied(entry, row)
    for name in ShowInput.OVERRIDES:
        if getattr(changed, name) == getattr(entry, name):
            setattr(row, name, _nothing(name))


def _nothing(name: str) -> Any:
    """The value of a field of ShowInput that says that nothing differs."""
    return ShowInput._meta.get_field(name).get_default()  # type: ignore[union-attr]


def pack_of_show(
    show: Show, variants: Sequence[str] = (), who: WhoPlays | None = None
) -> list[DaySection]:
    """The pack list of `show`, of the rigs that play unless `variants` are asked for, with what
    came in the place of units. Two dozen queries, however long it is."""
    who = who or who_plays(show)
    rigs = None if variants else who.rigs
    tonight = tonight_at(show)
    rows = rows_of(show, variants, rigs, who=who, tonight=tonight)
    used = [row.entry for row in rows if not row.absent]
    pack = pack_of(show.leg.production, variants, used, rigs, who.dep_names, show)
    came = came_for(tonight, who, variants)
    return day_pack(pack, rows, show.hires.all(), came)


def came_for(
    tonight: Mapping[UUID, UnitTonight], who: WhoPlays, variants: Sequence[str]
) -> list[Came]:
    """What came in the place of the units that are on the list. One query, or none."""
    instead = {unit: each for unit, each in tonight.items() if each.came}
    if not instead:
        return []
    chosen = {"rig__variant__in": variants} if variants else {"rig__in": who.rigs}
    units = Unit.objects.live().filter(pk__in=instead, **chosen).select_related("rig__player")
    return [
        Came(each.came, each.kind, each.from_whom, who.name_of(unit.rig.player), make_of(unit))
        for unit in units.order_by("rig__player__position", "rig", "position", "pk")
        if (each := instead[unit.pk])
    ]
