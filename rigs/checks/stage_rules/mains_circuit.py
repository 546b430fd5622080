"""The current that the units on one mains circuit draw together, against what it is labelled."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from django.utils.text import format_lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from rigs.checks.figures import Figure
from rigs.checks.findings import Certainty, Finding, Rule, Severity, not_measured
from rigs.checks.stage import Stage, StageUnit
from rigs.checks.supplies import circuit_key, circuit_name, read_supply
from rigs.signal.mains import MainsLoad, total_current

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

KEY = "mains_circuit"
WHY = gettext_lazy(
    "A circuit that is asked for more than it is made for opens its breaker "
    "in the middle of the show, or heats its cable."
)
MEND = gettext_lazy(
    "Spread the units over more circuits. What a circuit may carry, and for "
    "how long, is for a licensed electrician and the local code to say; work "
    "on the mains is theirs alone."
)
ASSUMES = (
    gettext_lazy(
        "Power as noted, at a power factor of 1: a lower one, and switching on, take more current."
    ),
    gettext_lazy("Other loads on the circuit are not known here."),
)


def check(stage: Stage) -> Iterator[Finding]:
    circuits: dict[str, list[StageUnit]] = defaultdict(list)
    for unit in stage.units:
        if key := circuit_key(unit.circuit):
            circuits[key].append(unit)
    for units in circuits.values():
        yield from _on_one(units)


def _on_one(units: Sequence[StageUnit]) -> Iterator[Finding]:
    name, ids = circuit_name(units[0].circuit), tuple(unit.id for unit in units)
    volts, amps = _stated(units)
    unknown = [
        format_lazy(gettext_lazy("mains power of {unit}"), unit=unit.in_full)
        for unit in units
        if unit.watts is None
    ]
    missing: list[StrOrPromise] = [
        *([gettext_lazy("volts")] if not volts else []),
        *([gettext_lazy("amperes")] if not amps else []),
        *unknown,
    ]
    loads = [MainsLoad(unit.watts) for unit in units if unit.watts is not None]
    drawn = total_current(loads, volts) if volts else 0.0
    # Even with some powers unknown: what is known already is too much, and more only adds to it.
    if volts and amps and drawn > amps:
        figures = (
            Figure(_("power"), sum(load.watts for load in loads), "W"),
            Figure(_("voltage"), volts, "V"),
            Figure(_("current together"), drawn, "A"),
            Figure(_("circuit"), amps, "A"),
        )
        title = _(
            "{circuit}: its units draw more current than the circuit is labelled with"
        ).format(circuit=name)
        estimate, assumes = Certainty.ESTIMATE, tuple(str(each) for each in ASSUMES)
        yield Finding(
            KEY, ids, Severity.CAUTION, title, str(WHY), str(MEND), estimate, figures, assumes
        )
    elif missing:
        yield not_measured(
            KEY, ids, _("Mains circuit {circuit}").format(circuit=name), missing, WHY
        )


def _stated(units: Sequence[StageUnit]) -> tuple[float | None, float | None]:
    """The volts and amperes of the circuit; where several are written, the lowest of each."""
    supplies = [read_supply(unit.circuit) for unit in units]
    volts = [each.volts for each in supplies if each.volts]
    amps = [each.amps for each in supplies if each.amps]
    # The lower voltage means more current, and the lower rating trips first.
    return min(volts, default=None), min(amps, default=None)


RULE = Rule(
    KEY,
    gettext_lazy("Do the units on one mains circuit draw more than it is labelled with?"),
    check,
)
