"""A tuning that leaves a string slack, from its pitch, the scale and its gauge."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import NamedTuple

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext

from core.limits import at_least
from rigs.checks.bench import AskedTuning, Bench, BenchUnit
from rigs.checks.figures import Figure
from rigs.checks.findings import Certainty, Finding, Rule, Severity, not_measured
from rigs.checks.tunings import strings_in
from rigs.signal.notes import format_note, frequency
from rigs.signal.strings import DENSITIES, gauge_for_tension, mass_of_material, tension

KEY = "slack_string"
MATERIAL = "plain steel"
METRES_PER_INCH = 0.0254
_GAUGE = re.compile(r"(\d*[.,]?\d+)\s*([a-z]*)", re.IGNORECASE)
WHY = gettext_lazy(
    "A slack string goes sharp when it is struck, buzzes, and loses the "
    "note’s weight to the noise of the attack."
)
NO_GAUGES = gettext_lazy(
    "one string gauge for each string (a control named “Strings”, or a string set under what wears)"
)


class StringGauge(NamedTuple):
    metres: float
    wound: bool


def check(bench: Bench) -> Iterator[Finding]:
    for unit in bench.units.values():
        tunings = _tunings(bench, unit) if unit.traits.least_tension else []
        if not tunings:
            continue
        gauges = _gauges(unit)
        missing = [] if unit.facts.get("scale_length") else [gettext_lazy("scale length")]
        # The gauges belong to strings by their order, so their number must agree.
        if len(gauges) != len(tunings[0][1]):
            missing.append(NO_GAUGES)
        elif any(gauge.wound for gauge in gauges):
            # A density says nothing of a wound string; the plain ones are still checked.
            yield not_measured(
                KEY, (unit.id,), unit.name, [gettext_lazy("mass of the wound strings")], WHY
            )
        if missing:
            yield not_measured(KEY, (unit.id,), unit.name, missing, WHY)
            continue
        yield from _in_every_tuning(unit, tunings, gauges)


def _tunings(bench: Bench, unit: BenchUnit) -> list[tuple[AskedTuning, tuple[int, ...]]]:
    """The tunings that read as notes: the usual one, and what songs ask for."""
    tunings = ((asked, strings_in(asked.tuning)) for asked in bench.tunings_of(unit))
    return [(asked, strings) for asked, strings in tunings if strings is not None]


def _in_every_tuning(
    unit: BenchUnit, tunings: list[tuple[AskedTuning, tuple[int, ...]]], gauges: list[StringGauge]
) -> Iterator[Finding]:
    reported: set[tuple[int, int]] = set()  # a string at a pitch is told of once
    for asked, strings in tunings:
        if len(strings) != len(gauges):
            continue
        new = [n for n, midi in enumerate(strings) if (n, midi) not in reported]
        reported |= set(enumerate(strings))
        yield from _slack(unit, [(strings[n], gauges[n]) for n in new], asked.words)


def _gauges(unit: BenchUnit) -> list[StringGauge]:
    """The gauges of the strings, low to high.

    A control “Strings” or “Gauges” states them: “.046w .036w .026w .017 .013 .010” or “46w … 10”.
    Without one, those of the set that is carried count.
    """
    written = [s for name, s in unit.settings.items() if name.casefold() in ("strings", "gauges")]
    if not written:
        return [StringGauge(metres, wound) for metres, wound in unit.gauges]
    gauges = []
    for amount, kind in _GAUGE.findall(" ".join(written)):
        size = float(amount.replace(",", "."))
        inches = size / 1000 if size >= 1 else size  # 46 is short for .046
        if inches > 0:
            gauges.append(StringGauge(inches * METRES_PER_INCH, kind.casefold() == "w"))
    return gauges


def _slack(
    unit: BenchUnit, strings: list[tuple[int, StringGauge]], where: str
) -> Iterator[Finding]:
    scale, least = unit.facts["scale_length"], unit.traits.least_tension or 0.0
    for midi, gauge in strings:
        if gauge.wound:
            continue
        hz = frequency(float(midi))
        pull = tension(hz, scale, mass_of_material(gauge.metres, MATERIAL))
        if not at_least(pull, least):
            yield _finding(unit, midi, gauge, pull, least, where)


def _finding(
    unit: BenchUnit, midi: int, gauge: StringGauge, pull: float, least: float, where: str
) -> Finding:
    name, scale = format_note(midi), unit.facts["scale_length"]
    heavier = gauge_for_tension(least, frequency(float(midi)), scale, DENSITIES[MATERIAL])
    needed = Figure(_("gauge that reaches it"), heavier / METRES_PER_INCH, "in")
    title = (
        _("{unit}: the {note} string is slack, {where}")
        if where
        else _("{unit}: the {note} string is slack")
    )
    return Finding(
        KEY,
        (unit.id,),
        Severity.LOOK,
        title.format(unit=unit.name, note=name, where=where),
        str(WHY),
        _(
            "A string of {needed} or more. Another tension asks for another set-up: "
            "that is for whoever looks after the instrument."
        ).format(needed=needed.shown),
        Certainty.THUMB,
        (
            Figure(_("tension of {note}").format(note=name), pull, "N"),
            Figure(_("slack below"), least, "N"),
            Figure(_("gauge"), gauge.metres / METRES_PER_INCH, "in"),
            Figure(pgettext("of strings", "scale"), scale * 1000, "mm"),
            needed,
        ),
        (_("Plain steel at rest; the density is within 0.6 % of string charts."),),
    )


RULE = Rule(KEY, gettext_lazy("Does the tuning leave a string slack?"), check)
