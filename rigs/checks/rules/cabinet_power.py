"""The power that reaches each cabinet against what it handles."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from django.utils.text import format_lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.limits import at_most
from rigs.checks.bench import Bench, BenchUnit
from rigs.checks.cabinets import WIRING_WORDS, CabinetLoad, amplifiers
from rigs.checks.figures import Figure
from rigs.checks.findings import Certainty, Finding, Rule, Severity, not_measured
from rigs.signal.loads import power_shares

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

KEY = "cabinet_power"
WHY = gettext_lazy(
    "A loudspeaker given more than it handles overheats, or is driven past its travel."
)


def check(bench: Bench) -> Iterator[Finding]:
    for amplifier, load in amplifiers(bench):
        outside = [unit for unit in load.cabinets if unit.id != amplifier.id]
        power = amplifier.facts.get("output_power")
        if not outside:
            continue
        # Its own loudspeaker is matched to it by its maker; only what is plugged in is asked about.
        missing = _missing(amplifier, load, outside)
        if missing or load.wiring is None or power is None:
            ids = (amplifier.id, *(unit.id for unit in outside))
            yield not_measured(KEY, ids, amplifier.name, missing, WHY)
            continue
        for cabinet, share in zip(load.cabinets, power_shares(load.wiring), strict=True):
            handled = cabinet.facts.get("power_handling")
            if handled is not None and not at_most(share * power, handled):
                yield _too_much(amplifier, cabinet, share * power, handled)


def _missing(
    amplifier: BenchUnit, load: CabinetLoad, outside: list[BenchUnit]
) -> list[StrOrPromise]:
    missing: list[StrOrPromise] = (
        []
        if "output_power" in amplifier.facts
        else [format_lazy(gettext_lazy("output power of {amplifier}"), amplifier=amplifier.name)]
    )
    missing += [
        format_lazy(gettext_lazy("speaker impedance of {unit}"), unit=unit.name)
        for unit in load.missing
    ]
    missing += [
        format_lazy(gettext_lazy("power handling of {unit}"), unit=unit.name)
        for unit in outside
        if "power_handling" not in unit.facts
    ]
    return missing


def _too_much(amplifier: BenchUnit, cabinet: BenchUnit, given: float, handled: float) -> Finding:
    return Finding(
        KEY,
        (cabinet.id, amplifier.id),
        Severity.LOOK,
        _("{cabinet}: {amplifier} can give it more than it handles").format(
            cabinet=cabinet.name, amplifier=amplifier.name
        ),
        str(WHY),
        _(
            "Share the power among more cabinets, use one that handles more, or "
            "agree on a limit for the master."
        ),
        Certainty.ESTIMATE,
        (Figure(_("can reach it"), given, "W"), Figure(_("handles"), handled, "W")),
        (str(WIRING_WORDS), _("Full rated power; an amplifier driven into clipping gives more.")),
    )


RULE = Rule(KEY, gettext_lazy("Can an amplifier give a cabinet more than it handles?"), check)
