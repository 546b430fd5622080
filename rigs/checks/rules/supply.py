"""The outlets of a power supply against what is plugged into them: volts, polarity, current."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from typing import TYPE_CHECKING

from django.utils.text import format_lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.limits import at_most
from rigs.checks.bench import Bench, BenchLink, BenchUnit
from rigs.checks.figures import Figure, listed
from rigs.checks.findings import Certainty, Finding, Rule, Severity, not_measured
from rigs.checks.supplies import Supply, read_supply

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

KEY = "supply"
TOLERANCE = 0.1  # of the volts; common practice, no source
WANTS = "supply"  # the control, in small letters, that says what a unit wants
WHY_POLARITY = gettext_lazy(
    "Wrong polarity, or AC in place of DC, can destroy what is plugged in at once."
)
WHY_VOLTS = gettext_lazy(
    "Too many volts can destroy what is plugged in; too few leave it weak, noisy or silent."
)
WHY_CURRENT = gettext_lazy(
    "An outlet asked for more than it gives drops in voltage, hums, shuts down or overheats."
)
MEND = gettext_lazy(
    "Use an outlet that fits. The label of the unit and its maker’s sheet "
    "have the last word, not this record."
)


def check(bench: Bench) -> Iterator[Finding]:
    plugged: dict[tuple[str, str], list[BenchUnit]] = defaultdict(list)
    for link in bench.links:
        source = bench.units[link.source]
        if link.carries != "power" or not source.traits.supplies_power:
            continue
        unit, name = bench.units[link.target], _outlet(source, link)
        if name is None:
            asked = format_lazy(
                gettext_lazy("which outlet of {source} feeds {unit}"),
                source=source.name,
                unit=unit.name,
            )
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
    missing: list[StrOrPromise] = []
    if gives.missing:
        missing.append(
            format_lazy(
                gettext_lazy("{name} of {source}: {missing}"),
                name=name,
                source=source.name,
                missing=listed(gives.missing),
            )
        )
    if wants.missing:
        missing.append(
            format_lazy(
                gettext_lazy("what {unit} wants: {missing} (a control named “Supply”)"),
                unit=unit.name,
                missing=listed(wants.missing),
            )
        )
    if missing:
        yield not_measured(KEY, (unit.id, source.id), unit.name, missing, WHY_POLARITY)
    given = {"unit": unit.name, "name": name, "source": source.name}
    if gives.polarity and wants.polarity and gives.polarity != wants.polarity:
        title = _("{unit}: {name} of {source} is {polarity}, it wants {wanted}").format(
            **given, polarity=gives.polarity.words, wanted=wants.polarity.words
        )
        figures = (
            Figure(_("outlet"), gives.polarity.words),
            Figure(_("wanted"), wants.polarity.words),
        )
        yield _finding((unit.id, source.id), Severity.CAUTION, title, WHY_POLARITY, figures)
    if gives.volts and wants.volts and _differs(gives.volts, wants.volts):
        outlet, needed = (
            Figure(_("outlet"), gives.volts, "V"),
            Figure(_("wanted"), wants.volts, "V"),
        )
        # Too many volts destroy, too few only fail to work.
        severity = Severity.CAUTION if gives.volts > wants.volts else Severity.LOOK
        title = _("{unit}: {name} of {source} gives {outlet}, it wants {needed}").format(
            **given, outlet=outlet.shown, needed=needed.shown
        )
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
    outlet, taken = (
        Figure(_("outlet"), gives * 1e3, "mA"),
        Figure(_("taken"), sum(known) * 1e3, "mA"),
    )
    yield _finding(
        (source.id, *(unit.id for unit in units)),
        Severity.LOOK,
        _("{source}: {name} gives {outlet}, what is plugged in takes {taken}").format(
            source=source.name, name=name, outlet=outlet.shown, taken=taken.shown
        ),
        WHY_CURRENT,
        (outlet, taken),
    )


def _finding(
    parts: tuple[str, ...],
    severity: Severity,
    title: str,
    why: StrOrPromise,
    figures: tuple[Figure, ...],
) -> Finding:
    return Finding(KEY, parts, severity, title, str(why), str(MEND), Certainty.CERTAIN, figures)


RULE = Rule(KEY, gettext_lazy("Does each outlet of a power supply fit what is plugged in?"), check)
