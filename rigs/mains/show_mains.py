"""The mains of one show: each unit that takes them, by what it is plugged into."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import get_language, gettext_lazy, ngettext, ngettext_lazy
from django.utils.translation import gettext as _

from core.languages.choice import as_stored
from core.languages.words import number, one_of
from core.models import Show
from rigs.checks.supplies import circuit_key, circuit_name, read_supply
from rigs.lists.cases import some_of
from rigs.lists.drops import drops_of
from rigs.lists.pack import make_of
from rigs.lists.state import ListState, state_of
from rigs.mains.fit import AtHouse, Fit, House, Load, at_house
from rigs.mains.rating import read_rating
from rigs.models import Fact, MainsDrop, Unit
from rigs.places import UNITS_TONIGHT
from rigs.plot.circuits import may_be_plugged
from rigs.shows.rigs import played_at


def figure(value: float) -> str:
    """A figure that somebody noted: as many places as it has."""
    return number(float(f"{value:g}"))


NO_CIRCUIT = gettext_lazy("Not said where it is plugged in")


@dataclass(frozen=True, slots=True)
class Plugged:
    """A unit, its load and how it stands to the house; `tonight` says what differs that day, `came`
    whether something else came in its place, whose plate is not known."""

    unit: Unit
    load: Load
    at: AtHouse
    tonight: str = ""
    came: bool = False

    @property
    def plate(self) -> str:
        return "" if self.came else self.unit.mains_rating

    @property
    def watts(self) -> float | None:
        return self.load.watts if self.load.watts is not None else self.load.rating.watts

    @property
    def watts_words(self) -> str:
        return "" if self.watts is None else figure(self.watts)

    @property
    def amps(self) -> str:
        return "" if self.at.amps is None else number(self.at.amps, 2)

    @property
    def hz_words(self) -> str:
        if not self.at.hz_differs:
            return ""
        stated = one_of(str(span) for span in self.load.rating.hz)
        return _(
            "its plate says {stated} Hz alone; a transformer does not change the frequency"
        ).format(stated=stated)

    @property
    def words(self) -> str:
        return _("; ").join(filter(None, [self.at.words, self.hz_words]))

    @property
    def is_wrong(self) -> bool:
        return self.at.fit in (Fit.TRANSFORMER, Fit.SELECTOR) or self.at.hz_differs


@dataclass(frozen=True, slots=True)
class Drop:
    """What is plugged into one drop or circuit. `limit` is the A it is stated to carry."""

    name: str
    plugged: list[Plugged]
    limit: float | None = None
    place: str = ""

    @property
    def amps(self) -> float:
        return sum(each.at.amps or 0.0 for each in self.plugged)

    @property
    def unknown(self) -> int:
        return sum(each.at.amps is None for each in self.plugged)

    @property
    def is_over(self) -> bool:
        return self.limit is not None and self.amps > self.limit

    @property
    def words(self) -> str:
        """“4.35 A of 16 A, 1 unit not known”."""
        missing = ngettext("{n} unit not known", "{n} units not known", self.unknown)
        missing = missing.format(n=self.unknown)
        if self.unknown == len(self.plugged):
            return missing
        known = _("{amps} A") if self.limit is None else _("{amps} A of {limit} A")
        known = known.format(amps=number(self.amps, 2), limit=figure(self.limit or 0))
        return _(", ").join([known, missing] if self.unknown else [known])


@dataclass(frozen=True, slots=True)
class ShowMains:
    """The mains of a show: the house, the drops, and what is not known, in sentences."""

    house: House
    drops: list[Drop]
    unknown: list[str]

    @property
    def plugged(self) -> list[Plugged]:
        return [each for drop in self.drops for each in drop.plugged]

    @property
    def house_words(self) -> str:
        volts = f"{figure(self.house.volts)} V" if self.house.volts else ""
        hz = f"{figure(self.house.hz)} Hz" if self.house.hz else ""
        return _(", ").join(filter(None, [volts, hz]))

    @property
    def wrong(self) -> list[Plugged]:
        return [each for each in self.plugged if each.is_wrong]


def mains_of(show: Show) -> ShowMains:
    """Nine queries and those of what differs that day, however many units."""
    production = show.leg.production
    house = House(_float(show.mains_volts), _float(show.mains_hz))
    playing = played_at([show])[show.pk]
    units = [unit for unit in may_be_plugged(production) if unit.rig_id in playing]
    facts = Fact.objects.live().filter(key="mains_power", unit__in=[unit.pk for unit in units])
    watts = dict(facts.values_list("unit", "value"))
    other = UNITS_TONIGHT.first(show) or {}
    fed = {circuit_key(each.drop.name): each.drop for each in drops_of(production, playing)}
    by_circuit: dict[str, list[Plugged]] = {key: [] for key in fed}
    for unit in units:
        drop = fed.get(circuit_key(unit.mains_circuit))
        differs = other.get(unit.pk)
        came = bool(differs and differs.came)
        # What came has a plate of its own, which nobody has noted: that of ours says nothing of it.
        load = Load(read_rating("" if came else unit.mains_rating))
        if not came:
            load = load._replace(watts=_float(watts.get(unit.pk)))
        stands = at_house(load, house_at(house, drop, unit))
        found = by_circuit.setdefault(circuit_key(unit.mains_circuit), [])
        found.append(Plugged(unit, load, stands, differs.line if differs else "", came))
    drops = _drops(by_circuit, fed)
    plugged = [each for drop in drops for each in drop.plugged]
    unknown = [*_unknown(plugged, house), *_contradictions(house, fed.values())]
    return ShowMains(house, drops, unknown)


def state_of_mains(mains: ShowMains, show: Show) -> ListState:
    """What a print was made from: the rigs, the show, and every cell. Six queries."""
    rigs = {each.unit.rig_id for each in mains.plugged}
    of_rigs = state_of(show.leg.production, (), show, rigs)
    read_in = get_language()
    # The same in whatever language the list is read: its words would tell another state.
    with as_stored():
        if get_language() != read_in:
            mains = mains_of(show)
        cells = json.dumps([of_rigs.digest, mains.house_words, as_rows(mains)])
    return of_rigs._replace(digest=hashlib.sha256(cells.encode()).hexdigest())


def house_at(house: House, drop: MainsDrop | None, unit: Unit) -> House:
    """What the house has, as stated of the show; else what the drop is to have, or the circuit is
    labelled with."""
    labelled = read_supply(unit.mains_circuit)
    volts = (house.volts, _float(drop.volts) if drop else None, labelled.volts)
    hertz = (house.hz, _float(drop.hertz) if drop else None)
    return House(*(next((each for each in some if each), None) for some in (volts, hertz)))


def _float(number: Decimal | int | None) -> float | None:
    return None if number is None else float(number)


def _drops(by_circuit: Mapping[str, list[Plugged]], fed: Mapping[str, MainsDrop]) -> list[Drop]:
    """Drops, also those that feed nothing that day, then circuits that no drop is named after; what
    names none comes last."""
    made = []
    for key, plugged in by_circuit.items():
        drop = fed.get(key)
        if drop is not None:
            limit, place = _float(drop.amps) or _limit(plugged), drop.place
            made.append(Drop(drop.name, plugged, limit, place))
        elif key:
            made.append(Drop(circuit_name(plugged[0].unit.mains_circuit), plugged, _limit(plugged)))
    loose = by_circuit.get("", [])
    return [*made, *([Drop(str(NO_CIRCUIT), loose)] if loose else [])]


def _limit(plugged: Iterable[Plugged]) -> float | None:
    """The least A that is written of a circuit: the lower rating trips first."""
    stated = [read_supply(each.unit.mains_circuit).amps for each in plugged]
    return min((amps for amps in stated if amps), default=None)


def _contradictions(house: House, drops: Iterable[MainsDrop]) -> list[str]:
    """Drops that ask for volts or Hz that the house does not have."""
    said = []
    for drop in drops:
        for wanted, there, symbol in ((drop.volts, house.volts, "V"), (drop.hertz, house.hz, "Hz")):
            if wanted is not None and there is not None and float(wanted) != there:
                said.append(
                    _("{drop} is to have {wanted} {unit}; the house has {there} {unit}.").format(
                        drop=drop.name, wanted=number(wanted), there=figure(there), unit=symbol
                    )
                )
    return said


_NO_VOLTS = ngettext_lazy(
    "{n} unit whose rating plate says no volts: {names}.",
    "{n} units whose rating plate says no volts: {names}.",
    "n",
)
_NO_HERTZ = ngettext_lazy(
    "{n} unit whose rating plate says no Hz: {names}.",
    "{n} units whose rating plate says no Hz: {names}.",
    "n",
)
_NO_LOAD = ngettext_lazy(
    "{n} unit without amps or watts: {names}.", "{n} units without amps or watts: {names}.", "n"
)


def _unknown(plugged: Sequence[Plugged], house: House) -> list[str]:
    lacking = (
        (_NO_VOLTS, [p for p in plugged if not p.load.rating.volts]),
        (_NO_HERTZ, [p for p in plugged if not p.load.rating.hz]),
        (_NO_LOAD, [p for p in plugged if not _has_load(p.load)]),
    )
    said = []
    if house.volts is None or house.hz is None:
        said.append(_("The volts and Hz of the house are not noted: they stand on the show."))
    for words, those in lacking:
        if those:
            names = some_of([f"{each.unit} ({each.unit.rig.player})" for each in those])
            said.append(words.format(n=len(those), names=names))
    return said


def _has_load(load: Load) -> bool:
    rating = load.rating
    stated = (rating.amps, rating.volt_amps, rating.watts, load.watts)
    return any(each is not None for each in stated)


HEADINGS = [
    gettext_lazy("Drop or circuit"),
    gettext_lazy("Unit"),
    gettext_lazy("Player"),
    gettext_lazy("What"),
    gettext_lazy("Rating plate"),
    "W",
    "A",
    gettext_lazy("At this house"),
    gettext_lazy("Transformer, VA"),
    gettext_lazy("Tonight"),
]


def as_rows(mains: ShowMains, *, to_read: bool = False) -> list[list[str]]:
    """The list as a grid, headings first; below each drop its sum.

    Figures have a full stop, as programs read them, but where the grid is `to_read`.
    """
    rows = [[str(each) for each in HEADINGS]]
    for drop in mains.drops:
        rows += [_row(drop, each, to_read=to_read) for each in drop.plugged]
        known = len(drop.plugged) > drop.unknown
        amps = _amps(drop.amps if known else None, to_read=to_read)
        rows.append([drop.name, _("Sum"), "", "", "", "", amps, drop.words, "", ""])
    return rows


def _amps(amps: float | None, *, to_read: bool) -> str:
    if amps is None:
        return ""
    return number(amps, 2) if to_read else f"{amps:.2f}"


def _row(drop: Drop, each: Plugged, *, to_read: bool) -> list[str]:
    watts = "" if each.watts is None else f"{each.watts:g}"
    size = "" if each.at.transformer_va is None else str(each.at.transformer_va)
    return [
        drop.name,
        each.unit.name,
        str(each.unit.rig.player),
        make_of(each.unit),
        each.plate,
        each.watts_words if to_read else watts,
        _amps(each.at.amps, to_read=to_read),
        each.words,
        size,
        each.tonight,
    ]
