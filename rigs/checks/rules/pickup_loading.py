"""The loss of top end that cable and input cause on a passive pickup."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from typing import TYPE_CHECKING

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext, pgettext_lazy

from core.limits import at_least
from rigs.checks.bench import Bench, BenchUnit
from rigs.checks.figures import Figure, decibels, hertz
from rigs.checks.findings import Certainty, Finding, Rule, Severity, not_measured
from rigs.checks.pickup_loads import FARADS_PER_METRE, PickupLoad, load_on
from rigs.checks.pictures import PickupPicture
from rigs.signal.loads import parallel
from rigs.signal.notes import semitones
from rigs.signal.pickups import PickupCircuit, Resonance, resonance

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

KEY = "pickup_loading"
REFERENCE_METRES, REFERENCE_OHMS = 3.0, 1e6
REFERENCE_WORDS = gettext_lazy("3 m of cable into 1 MΩ")
# A third of an octave, or 3 dB of the peak, is what most hear at once. Rule of thumb, no source.
LEAST_SEMITONES, LEAST_DB = 4.0, 3.0
_NEEDED = {
    "pickup_inductance": gettext_lazy("pickup inductance"),
    "pickup_resistance": gettext_lazy("pickup resistance"),
    "pickup_capacitance": gettext_lazy("pickup capacitance"),
}
WHY = gettext_lazy(
    "A passive pickup rings with the cable’s capacitance; a long cable pulls "
    "its peak down and a low input impedance flattens it: the sound gets "
    "duller."
)


def check(bench: Bench) -> Iterator[Finding]:
    for unit in bench.units.values():
        if unit.traits.pickup and (load := load_on(bench, unit)):
            missing: list[StrOrPromise] = [
                word for key, word in _NEEDED.items() if not unit.facts.get(key)
            ]
            missing += load.missing
            if missing or not load.ohms:
                yield not_measured(KEY, (unit.id,), unit.name, missing, WHY)
            elif finding := _compare(unit, load):
                yield finding


def _compare(unit: BenchUnit, load: PickupLoad) -> Finding | None:
    # A pickup that is split to amplifier and DI is loaded by both inputs at once.
    ohms = parallel(*load.ohms)
    now = _circuit(unit, load.farads, ohms)
    reference = _circuit(unit, FARADS_PER_METRE * REFERENCE_METRES, REFERENCE_OHMS)
    here, there = _resonance(now), _resonance(reference)
    lower = _semitones(there.minus3_hz, here.minus3_hz)
    flatter = (there.peak_db - there.low_db) - (here.peak_db - here.low_db)
    if not (at_least(-lower, LEAST_SEMITONES) or at_least(flatter, LEAST_DB)):
        return None
    return Finding(
        KEY,
        (unit.id,),
        Severity.LOOK,
        _("{unit}: cable and input take the top off the pickup").format(unit=unit.name),
        str(WHY),
        _("A shorter cable, or a buffer or active DI close to the instrument."),
        Certainty.ESTIMATE,
        (
            Figure(_("cable"), load.farads / FARADS_PER_METRE, "m"),
            Figure("input", ohms / 1000, "kΩ"),
            *_shown(pgettext("of a pickup", "now"), here),
            *_shown(str(REFERENCE_WORDS), there),
        ),
        (
            _("Cable of 100 pF per metre; controls full up, tone control left out."),
            _("Every pedal counted as its input impedance; one coil, no eddy currents."),
            *load.assumed,
        ),
        PickupPicture(now, reference, str(REFERENCE_WORDS)),
    )


def _circuit(unit: BenchUnit, cable: float, ohms: float) -> PickupCircuit:
    facts = unit.facts
    return PickupCircuit(
        facts["pickup_inductance"],
        facts["pickup_resistance"],
        facts["pickup_capacitance"],
        cable,
        ohms,
        facts.get("volume_pot") or None,
    )


# The search costs milliseconds and the same few circuits come back on every page.
_resonance = lru_cache(maxsize=256)(resonance)


def _semitones(there: float | None, here: float | None) -> float:
    if here is None:
        return 0.0
    # None is beyond the range that was searched, so its upper end stands in.
    return semitones(there or 100e3, here)


def _shown(when: str, resonance: Resonance) -> list[Figure]:
    label = _("peak, {when}").format(when=when)
    shown = [
        Figure(label, pgettext_lazy("peak", "none"))
        if resonance.peak_hz is None
        else hertz(label, resonance.peak_hz),
        decibels(
            _("peak over the low end, {when}").format(when=when),
            resonance.peak_db - resonance.low_db,
        ),
    ]
    if resonance.minus3_hz is not None:
        shown.append(hertz(_("3 dB down at, {when}").format(when=when), resonance.minus3_hz))
    return shown


RULE = Rule(KEY, gettext_lazy("Do cable and input take the top off a passive pickup?"), check)
