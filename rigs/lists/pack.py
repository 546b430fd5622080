"""What goes on the truck: microphones, stands, cables, power and weight, counted from the rigs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from uuid import UUID

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from core.languages.words import each_of, one_of
from core.models import Production, Show
from core.units import format_both
from rigs.gear import OTHER
from rigs.lists.cases import (
    Count,
    Figures,
    Thing,
    cases,
    of_device,
    of_unit,
    power_by_place,
    some_of,
)
from rigs.lists.input_list import inputs_of
from rigs.lists.leads import leads_and_looms
from rigs.lists.sizes import SIZES, size_in_words, tells_size
from rigs.models import Device, Fact, Input, Link, Rig, Spare, Unit
from rigs.upkeep.spares import spares_to_carry


@dataclass(slots=True)
class Pack:
    """The counts, and what is not known: never guessed."""

    devices: list[Count] = field(default_factory=list)
    stands: list[Count] = field(default_factory=list)
    cables: list[Count] = field(default_factory=list)
    units: list[Count] = field(default_factory=list)
    spares: list[Count] = field(default_factory=list)
    power: list[Count] = field(default_factory=list)  # watts, by place on stage
    cases: list[Count] = field(default_factory=list)  # kilograms, rounded up
    unknown: list[str] = field(default_factory=list)

    @property
    def total_power_w(self) -> int:
        return sum(line.count or 0 for line in self.power)

    @property
    def total_weight_kg(self) -> int:
        return sum(line.count or 0 for line in self.cases)

    @property
    def total_weight_lb(self) -> int:
        return sum(line.pounds or 0 for line in self.cases)


def pack_of(
    production: Production,
    variants: Sequence[str] = ("main",),
    inputs: Sequence[Input] | None = None,
    rigs: Collection[UUID] | None = None,
    names: Mapping[UUID, str] | None = None,
    show: Show | None = None,
) -> Pack:
    """Counted over the live rigs of those variants, or of `rigs` in their place, in nine queries
    beside those of the inputs.

    `inputs` in place of the list’s own, such as those used at one show; `names` of players by id
    where somebody plays for them; `show` is the one whose patch the leads follow.
    """
    called = names or {}
    inputs = inputs_of(production, variants, rigs) if inputs is None else inputs
    chosen = {"rig__variant__in": variants} if rigs is None else {"rig__in": rigs}
    live = {"rig__production": production, "rig__retired": False, **chosen}
    # Radio is in the air: what sends and receives it is among the units.
    links = Link.objects.live().filter(**live).exclude(carries=Link.Carries.RADIO)
    links = links.select_related("rig__player")
    everybody = Unit.objects.live().filter(**live).select_related("rig__player")
    # A singer is a unit of the path, but is neither packed nor counted.
    units = [unit for unit in everybody if not unit.traits.person]
    facts = Fact.objects.live().filter(key__in=("mains_power", "weight", *SIZES), **live)
    spares = Spare.objects.live().filter(**live).select_related("unit").order_by("rig", "position")
    figures = {(unit, key): value for unit, key, value in facts.values_list("unit", "key", "value")}
    cables = _grouped((_cable(link), _for(link.rig, called)) for link in links)
    things = [*(of_unit(unit, figures) for unit in units), *devices_in(inputs)]
    return Pack(
        devices=_devices(inputs),
        stands=_grouped((e.stand, e.name) for e in inputs if e.stand),
        cables=[*cables, *leads_and_looms(production, inputs, show)],
        units=_units(units, figures, called),
        spares=[Count(line.line, line.count, line.places) for line in spares_to_carry(spares)],
        power=power_by_place(units, figures),
        cases=cases(things),
        unknown=[*_unknown(inputs), *_no_power(units, figures), *_no_case(things)],
    )


def devices_in(inputs: Iterable[Input]) -> list[Thing]:
    """The microphones and DIs that the inputs need, as many as they need of each."""
    counted = Counter(entry.device for entry in inputs if entry.device is not None)
    return [of_device(device, count) for device, count in counted.items()]


def _for(rig: Rig, names: Mapping[UUID, str]) -> str:
    return names.get(rig.player_id) or str(rig.player)


def _grouped(pairs: Iterable[tuple[str, str]]) -> list[Count]:
    counted: Counter[str] = Counter()
    where: dict[str, list[str]] = {}
    for what, place in pairs:
        counted[what] += 1
        where.setdefault(what, []).append(place)
    return [
        Count(what, count, each_of(dict.fromkeys(where[what])))
        for what, count in sorted(counted.items(), key=lambda item: (-item[1], item[0]))
    ]


def _devices(inputs: Sequence[Input]) -> list[Count]:
    known = [(entry.device, entry.name) for entry in inputs if entry.device is not None]
    by_name = {str(device): device for device, _ in known}
    return [
        replace(
            line,
            kind=kind_of_device(by_name[line.what]),
            owned=_owned(by_name[line.what]),
            serials=each_of(by_name[line.what].serial_numbers),
        )
        for line in _grouped((str(device), place) for device, place in known)
    ]


def kind_of_device(device: Device) -> str:
    """“moving coil, cardioid”, “DI, active”: below a heading that says microphones and DIs."""
    pattern = device.get_pattern_display() if device.pattern else ""
    return each_of([device.get_principle_display(), pattern])


def _owned(device: Device) -> str:
    """“3 owned”, only where it is stated."""
    return (
        ""
        if device.owned is None
        else ngettext("{n} owned", "{n} owned", device.owned).format(n=device.owned)
    )


def _units(units: Sequence[Unit], figures: Figures, called: Mapping[UUID, str]) -> list[Count]:
    """By make, each with its kinds and sizes, and the serial numbers that are noted."""
    own = by_unit(figures)
    of_make: dict[str, list[Unit]] = {}
    for unit in units:
        of_make.setdefault(make_of(unit), []).append(unit)
    return [
        replace(
            line,
            kind=_either(kind_of(unit, own.get(unit.pk, {})) for unit in of_make[line.what]),
            serials=each_of(unit.serial for unit in of_make[line.what] if unit.serial),
        )
        for line in _grouped((make_of(unit), _for(unit.rig, called)) for unit in units)
    ]


def _either(kinds: Iterable[str]) -> str:
    return one_of(dict.fromkeys(filter(None, kinds)))


def kind_of(unit: Unit, own: Mapping[str, Decimal]) -> str:
    """Its kind with its size, unless its name says them: “drum, 22 in × 16 in”."""
    name, size = make_of(unit), size_in_words(own)
    kind = "" if unit.gear == OTHER.key else unit.get_gear_display()
    if not size or tells_size(name, size):
        return kind
    return each_of([kind, size])


def by_unit(figures: Figures) -> dict[UUID, dict[str, Decimal]]:
    """The figures of each unit by their keys."""
    own: dict[UUID, dict[str, Decimal]] = {}
    for (unit, key), value in figures.items():
        own.setdefault(unit, {})[key] = value
    return own


def make_of(unit: Unit) -> str:
    """Maker and model, which count together; what the crew calls it where neither is noted."""
    return f"{unit.maker} {unit.model}".strip() or unit.name


def _cable(link: Link) -> str:
    kind = each_of((link.get_carries_display(), link.connectors))
    if link.length_m is None:
        return _("{kind}, length not measured").format(kind=kind)
    return f"{kind}, {format_both(link.length_m, link.length_unit)}"


def _no_power(units: Iterable[Unit], figures: Figures) -> list[str]:
    """Amplifiers, keyboards and the like whose power nobody noted."""
    return [
        _("The mains power of {unit} ({player}) is not noted.").format(
            unit=unit, player=unit.rig.player
        )
        for unit in units
        if "mains_power" in unit.traits.figures and (unit.pk, "mains_power") not in figures
    ]


def _no_case(things: Sequence[Thing]) -> list[str]:
    """How many things have no case; not a word where no cases are used at all."""
    without = [thing.name for thing in things if not thing.packed_in.strip()]
    if not without or len(without) == len(things):
        return []
    return [
        _("No case is noted for {n} of {all} things: {names}.").format(
            n=len(without), all=len(things), names=some_of(without)
        )
    ]


def _unknown(inputs: Sequence[Input]) -> list[str]:
    lacking = [entry.name for entry in inputs if entry.device is None]
    return [_("No microphone or DI is named for {name}.").format(name=name) for name in lacking]


SECTIONS = (
    ("devices", gettext_lazy("Microphones and DIs")),
    ("stands", gettext_lazy("Stands")),
    ("cables", gettext_lazy("Cables, leads and looms")),
    ("units", gettext_lazy("Instruments, amplifiers and other gear")),
    ("spares", gettext_lazy("Spares")),
    ("power", gettext_lazy("Mains power by place on stage, W")),
    ("cases", gettext_lazy("Cases and their weight, kg")),
)
# Folded on the page until asked for: what is counted once for a tour, not at each load-in.
FOLDED = ("spares", "power", "cases")
# What is in the column of counts.
COUNTED_IN = {"power": "W", "cases": "kg"}


def as_rows(pack: Pack) -> list[list[str]]:
    """The counts as a grid, headings first."""
    rows = [[_("Section"), _("What"), _("Count"), "lb", _("For"), _("Serial numbers")]]
    for key, heading in SECTIONS:
        for line in getattr(pack, key):
            pounds = "" if line.pounds is None else str(line.pounds)
            count = "" if line.count is None else str(line.count)
            rows.append([str(heading), line.in_full, count, pounds, line.where, line.serials])
    return rows


VARIANTS = [variant for variant, _ in Rig.Variant.choices]
