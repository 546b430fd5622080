"""The outlets of a power supply against what is plugged into them: volts, polarity, current."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from core.limits import at_most
from rigs.checks.bench import Bench, BenchLink, BenchUnit
from rigs.checks.figures import Figure
from rigs.checks.findings import Certainty, Finding, Rule, Severity, not_measured
from rigs.checks.supplies import Supply, read_supply

KEY = "supply"
TOLERANCE = 0.1  # of the volts; common practice, no source
WANTS = "supply"  # the control, in small letters, that says what a unit wants
WHY_POLARITY = "Wrong polarity, or AC in place of DC, can destroy what is plugged in at once."
WHY_VOLTS = "Too many volts can destroy what is plugged in; too few leave it weak, noisy or silent."
WHY_CURRENT = (
    "An outlet asked for more than it gives drops in voltage, hums, shuts down or overheats."
)
MEND = (
    "Use an outlet that fits. The label of the unit and its maker’s sheet have the last word, not "
    "this record."
)


def check(bench: Bench) -> Iterator[Finding]:
    plugged: dict[tuple[str, str], list[BenchUnit]] = defaultdict(list)
    for link in bench.links:
        source = bench.units[link.source]
        if link.carries != "power" or not source.traits.supplies_power:
            continue
        unit, name = bench.units[link.target], _outlet(source, link)
        if name is None:
            asked = f"which outlet of {source.name} feeds {unit.name}"
            yield not_measured(KEY, (source.id, unit.id), source.name, [asked], WHY_POLARITY)
            continue
        plugged[source.id, name].append(unit)
        yield from _one(source, name, unit)
    for (supply, name), units in plugged.items():
        yield from _together(bench.units[supply], name, units)


def _outlet(source: BenchUnit, link: BenchLink) -> str | None:
    """The control of the outlet that the cable leaves by: “Outlet 1”, or “1” for short."""
    socket = link.from_socket.strip().casefold()
    names = {name.strip().casefold(): name for name in source.settings}
    return names.get(socket) or names.get(f"outlet {socket}")


def _wants(unit: BenchUnit) -> Supply:
    stated = [text for name, text in unit.settings.items() if name.strip().casefold() == WANTS]
    return read_supply(" ".join(stated))


def _one(source: BenchUnit, name: str, unit: BenchUnit) -> Iterator[Finding]:
    gives, wants = read_supply(source.settings[name]), _wants(unit)
    missing = []
    if gives.missing:
        missing.append(f"{name} of {source.name}: {', '.join(gives.missing)}")
    if wants.missing:
        asked = ", ".join(wants.missing)
        missing.append(f"what {unit.name} wants: {asked} (a control named “Supply”)")
    if missing:
        yield not_measured(KEY, (unit.id, source.id), unit.name, missing, WHY_POLARITY)
    given = f"{unit.name}: {name} of {source.name}"
    if gives.polarity and wants.polarity and gives.polarity != wants.polarity:
        title = f"{given} is {gives.polarity}, it wants {wants.polarity}"
        figures = (Figure("outlet", str(gives.polarity)), Figure("wanted", str(wants.polarity)))
        yield _finding((unit.id, source.id), Severity.CAUTION, title, WHY_POLARITY, figures)
    if gives.volts and wants.volts and _differs(gives.volts, wants.volts):
        outlet, needed = Figure("outlet", gives.volts, "V"), Figure("wanted", wants.volts, "V")
        # Too many volts destroy, too few only fail to work.
        severity = Severity.CAUTION if gives.volts > wants.volts else Severity.LOOK
        title = f"{given} gives {outlet.shown}, it wants {needed.shown}"
        yield _finding((unit.id, source.id), severity, title, WHY_VOLTS, (outlet, needed))


def _differs(given: float, needed: float) -> bool:
    return not at_most(abs(given / needed - 1), TOLERANCE)


def _together(source: BenchUnit, name: str, units: list[BenchUnit]) -> Iterator[Finding]:
    """The finding that an outlet is asked for more current than it gives, if it is.

    None while a current is not stated: `_one` asks for it.
    """
    gives = read_supply(source.settings[name]).amps
    currents = [_wants(unit).amps for unit in units]
    known = [amps for amps in currents if amps is not None]
    if gives is None or len(known) < len(currents) or at_most(sum(known), gives):
        return
    outlet, taken = Figure("outlet", gives * 1e3, "mA"), Figure("taken", sum(known) * 1e3, "mA")
    yield _finding(
        (source.id, *(unit.id for unit in units)),
        Severity.LOOK,
        f"{source.name}: {name} gives {outlet.shown}, what is plugged in takes {taken.shown}",
        WHY_CURRENT,
        (outlet, taken),
    )


def _finding(
    parts: tuple[str, ...],
    severity: Severity,
    title: str,
    why: str,
    figures: tuple[Figure, ...],
) -> Finding:
    return Finding(KEY, parts, severity, title, why, MEND, Certainty.CERTAIN, figures)


RULE = Rule(KEY, "Does each outlet of a power supply fit what is plugged in?", check)
