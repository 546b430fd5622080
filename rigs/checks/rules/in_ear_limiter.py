"""Earphones whose limiter is off, or of which nobody has said whether it is on."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from rigs.checks.bench import Bench, BenchUnit
from rigs.checks.figures import Figure
from rigs.checks.findings import Certainty, Finding, Rule, Severity, not_measured

KEY = "in_ear_limiter"
_OFF = frozenset({"off", "no", "out", "bypass", "bypassed"})
WHY = gettext_lazy(
    "A dropped microphone, feedback or a fault reaches earphones without "
    "delay; without a limiter one such moment can damage hearing for good."
)
MEND = gettext_lazy(
    "Put the limiter in and begin low. A limiter is no protection against a "
    "loud mix: local rules on exposure come first, and where hearing is at "
    "stake a qualified person measures."
)


def check(bench: Bench) -> Iterator[Finding]:
    for unit in bench.units.values():
        if unit.traits.in_ears:
            yield from _of(unit)


def _of(unit: BenchUnit) -> Iterator[Finding]:
    stated = [text for name, text in unit.settings.items() if "limiter" in name.casefold() and text]
    # Silence is asked about and not taken for “on”: ears are at stake.
    if not stated:
        yield not_measured(
            KEY, (unit.id,), unit.name, [gettext_lazy("whether its limiter is on")], WHY
        )
    elif any(text.strip().casefold() in _OFF for text in stated):
        yield Finding(
            KEY,
            (unit.id,),
            Severity.CAUTION,
            _("{unit}: its limiter is off").format(unit=unit.name),
            str(WHY),
            str(MEND),
            Certainty.CERTAIN,
            (Figure(_("limiter"), ", ".join(stated)),),
        )


RULE = Rule(KEY, gettext_lazy("Is the limiter of earphones on?"), check)
