"""What goes on the truck: microphones, stands, cables, power and weight, counted from the rigs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field, replace
from uuid import UUID

from core.models import Production
from core.units import format_both
from rigs.lists.cases import Count, Figures, cases, power_by_place
from rigs.lists.input_list import inputs_of
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


def pack_of(
    production: Production,
    variants: Sequence[str] = ("main",),
    inputs: Sequence[Input] | None = None,
    rigs: Collection[UUID] | None = None,
) -> Pack:
    """Counted over the live rigs of those variants, or of `rigs` in their place, in five queries.

    `inputs` in place of the list’s own, such as those used at one show.
    """
    inputs = inputs_of(production, variants, rigs) if inputs is None else inputs
    chosen = {"rig__variant__in": variants} if rigs is None else {"rig__in": rigs}
    live = {"rig__production": production, "rig__retired": False, **chosen}
    # Radio is in the air: what sends and receives it is among the units.
    links = Link.objects.live().filter(**live).exclude(carries=Link.Carries.RADIO)
    links = links.select_related("rig__player")
    everybody = Unit.objects.live().filter(**live).select_related("rig__player")
    # A singer is a unit of the path, but is neither packed nor counted.
    units = [unit for unit in everybody if not unit.traits.person]
    facts = Fact.objects.live().filter(key__in=("mains_power", "weight"), **live)
    spares = Spare.objects.live().filter(**live).select_related("unit").order_by("rig", "position")
    pack = Pack(
        devices=_devices(inputs),
        stands=_grouped((e.stand, e.name) for e in inputs if e.stand),
        cables=_grouped((_cable(link), str(link.rig.player)) for link in links),
        units=_with_kinds(
            _grouped((_make(unit), str(unit.rig.player)) for unit in units),
            ((_make(unit), unit.get_gear_display()) for unit in units),
        ),
        spares=[Count(line.line, line.count, line.places) for line in spares_to_carry(spares)],
    )
    figures = {(unit, key): value for unit, key, value in facts.values_list("unit", "key", "value")}
    pack.power = power_by_place(units, figures)
    pack.cases = cases(units, figures)
    pack.unknown = [*_unknown(inputs), *_no_power(units, figures)]
    return pack


def _grouped(pairs: Iterable[tuple[str, str]]) -> list[Count]:
    counted: Counter[str] = Counter()
    where: dict[str, list[str]] = {}
    for what, place in pairs:
        counted[what] += 1
        where.setdefault(what, []).append(place)
    return [
        Count(what, count, ", ".join(dict.fromkeys(where[what])))
        for what, count in sorted(counted.items(), key=lambda item: (-item[1], item[0]))
    ]


def _devices(inputs: Sequence[Input]) -> list[Count]:
    known = [(entry.device, entry.name) for entry in inputs if entry.device is not None]
    return _with_kinds(
        _grouped((str(device), place) for device, place in known),
        ((str(device), _kind_and_owned(device)) for device, _ in known),
    )


def _kind_and_owned(device: Device) -> str:
    """“dynamic, 3 owned”; the number only where it is stated."""
    owned = "" if device.owned is None else f", {device.owned} owned"
    return f"{device.get_principle_display()}{owned}"


def _with_kinds(lines: list[Count], known: Iterable[tuple[str, str]]) -> list[Count]:
    """What each line is: a make alone does not say whether it is an amplifier or a piano, a
    microphone or a DI. `known` are lines and what they are."""
    kinds: dict[str, list[str]] = {}
    for what, kind in known:
        kinds.setdefault(what, []).append(kind)
    return [replace(line, kind=" or ".join(dict.fromkeys(kinds[line.what]))) for line in lines]


def _make(unit: Unit) -> str:
    """Maker and model, which count together; what the crew calls it where neither is noted."""
    return f"{unit.maker} {unit.model}".strip() or unit.name


def _cable(link: Link) -> str:
    kind = ", ".join(text for text in (link.get_carries_display(), link.connectors) if text)
    if link.length_m is None:
        return f"{kind}, length not measured"
    return f"{kind}, {format_both(link.length_m, link.length_unit)}"


def _no_power(units: Iterable[Unit], figures: Figures) -> list[str]:
    """Amplifiers, keyboards and the like whose power nobody noted."""
    return [
        f"The mains power of {unit} ({unit.rig.player}) is not noted."
        for unit in units
        if "mains_power" in unit.traits.figures and (unit.pk, "mains_power") not in figures
    ]


def _unknown(inputs: Sequence[Input]) -> list[str]:
    lacking = [entry.name for entry in inputs if entry.device is None]
    return [f"No microphone or DI is named for {name}." for name in lacking]


SECTIONS = (
    ("devices", "Microphones and DIs"),
    ("stands", "Stands"),
    ("cables", "Cables in the rigs"),
    ("units", "Instruments, amplifiers and other gear"),
    ("spares", "Spares"),
    ("power", "Mains power by place on stage, W"),
    ("cases", "Cases and their weight, kg"),
)
# Folded on the page until asked for: what is counted once for a tour, not at each load-in.
FOLDED = ("spares", "power", "cases")
# What is in the column of counts.
COUNTED_IN = {"power": "W", "cases": "kg"}


def as_rows(pack: Pack) -> list[list[str]]:
    """The counts as a grid, headings first."""
    rows = [["Section", "What", "Count", "For"]]
    for key, heading in SECTIONS:
        for line in getattr(pack, key):
            rows.append(
                [heading, line.in_full, "" if line.count is None else str(line.count), line.where]
            )
    return rows


VARIANTS = [variant for variant, _ in Rig.Variant.choices]
