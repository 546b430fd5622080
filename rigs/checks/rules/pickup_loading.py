"""The loss of top end that cable and input cause on a passive pickup."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from typing import NamedTuple

from core.limits import at_least
from rigs.checks.bench import Bench, BenchUnit
from rigs.checks.figures import Figure, decibels, hertz
from rigs.checks.findings import Certainty, Finding, Rule, Severity, not_measured
from rigs.checks.pictures import PickupPicture
from rigs.signal.loads import parallel
from rigs.signal.notes import semitones
from rigs.signal.pickups import PickupCircuit, Resonance, resonance

KEY = "pickup_loading"
FARADS_PER_METRE = 100e-12  # of instrument cable; common practice, no source
REFERENCE_METRES, REFERENCE_OHMS = 3.0, 1e6
REFERENCE_WORDS = "3 m of cable into 1 MΩ"
# A third of an octave, or 3 dB of the peak, is what most hear at once. Rule of thumb, no source.
LEAST_SEMITONES, LEAST_DB = 4.0, 3.0
_NEEDED = {
    "pickup_inductance": "pickup inductance",
    "pickup_resistance": "pickup resistance",
    "pickup_capacitance": "pickup capacitance",
}
WHY = (
    "A passive pickup rings with the cable’s capacitance; a long cable pulls its peak down and a "
    "low input impedance flattens it: the sound gets duller."
)


class PickupLoad(NamedTuple):
    """What loads the pickup in ohm and F, what nobody has stated, and what was assumed."""

    ohms: list[float]
    farads: float
    missing: list[str]
    assumed: list[str]


def check(bench: Bench) -> Iterator[Finding]:
    for unit in bench.units.values():
        if unit.traits.pickup and (load := _load(bench, unit)):
            missing = [word for key, word in _NEEDED.items() if not unit.facts.get(key)]
            missing += load.missing
            if missing or not load.ohms:
                yield not_measured(KEY, (unit.id,), unit.name, missing, WHY)
            elif finding := _compare(unit, load):
                yield finding


def _load(bench: Bench, unit: BenchUnit) -> PickupLoad | None:
    """The load on a pickup; None for an instrument with neither a cable nor a DI on record."""
    cables = [x for x in bench.links if x.source == unit.id and x.carries == "instrument"]
    dis = [e.device for e in bench.inputs if e.device and e.is_di and unit in e.units]
    # Cables in parallel load the pickup together, whatever each leads to.
    load = PickupLoad([], FARADS_PER_METRE * sum(x.length or 0.0 for x in cables), [], [])
    for cable in cables:
        target = bench.units[cable.target]
        _take(load, target.facts.get("input_impedance"), f"input impedance of {target.name}")
        if cable.length is None:
            load.missing.append(f"length of the cable to {target.name}")
    for device in dis:
        _take(load, device.impedance, f"impedance of {device.name}")
        load.assumed.append(
            f"The cable to {device.name} is not documented and counted as 0 m: the loss is larger."
        )
    return load if cables or dis else None


def _take(load: PickupLoad, ohms: float | None, what: str) -> None:
    if ohms:
        load.ohms.append(ohms)
    else:
        load.missing.append(what)


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
        f"{unit.name}: cable and input take the top off the pickup",
        WHY,
        "A shorter cable, or a buffer or active DI close to the instrument.",
        Certainty.ESTIMATE,
        (
            Figure("cable", load.farads / FARADS_PER_METRE, "m"),
            Figure("input", ohms / 1000, "kΩ"),
            *_shown("now", here),
            *_shown(REFERENCE_WORDS, there),
        ),
        (
            "Cable of 100 pF per metre; controls full up, tone control left out.",
            "Every pedal counted as its input impedance; one coil, no eddy currents.",
            *load.assumed,
        ),
        PickupPicture(now, reference, REFERENCE_WORDS),
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
    peak = "none" if resonance.peak_hz is None else hertz("", resonance.peak_hz).shown
    shown = [
        Figure(f"peak, {when}", peak),
        decibels(f"peak over the low end, {when}", resonance.peak_db - resonance.low_db),
    ]
    if resonance.minus3_hz is not None:
        shown.append(hertz(f"3 dB down at, {when}", resonance.minus3_hz))
    return shown


RULE = Rule(KEY, "Do cable and input take the top off a passive pickup?", check)
