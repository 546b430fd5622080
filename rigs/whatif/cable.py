"""Another cable or another input on a passive pickup. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from rigs.facts import FACTS
from rigs.signal.pickups import PickupCircuit, Resonance, difference_db, resonance
from rigs.whatif.answers import NOW_THEN, Answer, Proposal, Table, hertz, number, pickup_plot

NEEDED = ("pickup_inductance", "pickup_resistance", "pickup_capacitance")
ASSUMES = (
    "One coil, volume and tone full up; eddy currents, true-bypass pedals and extra parts in the "
    "instrument are left out. Trust the difference more than the figures."
)
TOLD_HZ = (1000.0, 2000.0, 3000.0, 5000.0, 10_000.0)


@dataclass(frozen=True, slots=True)
class Load:
    """What hangs on the pickup: a cable in m with F/m, and an input in ohm."""

    metres: float
    farads_per_metre: float
    ohms: float


def missing(facts: Mapping[str, float]) -> list[str]:
    """The figures of a pickup that are not stated, or are nothing where there must be something."""
    return [FACTS[key].label for key in NEEDED if not facts.get(key)]


def circuit(facts: Mapping[str, float], load: Load) -> PickupCircuit:
    """Raises ValueError where a figure is missing (ask `missing` first) or cannot be."""
    return PickupCircuit(
        henries=facts.get("pickup_inductance", 0),
        ohms=facts.get("pickup_resistance", 0),
        farads=facts.get("pickup_capacitance", 0),
        cable_farads=load.metres * load.farads_per_metre,
        input_ohms=load.ohms,
        volume_ohms=facts.get("volume_pot"),
    )


def answer(
    facts: Mapping[str, float], now: Load, then: Load, proposal: Proposal | None = None
) -> Answer:
    """Resonance, peak, −3 dB point now and then; the figures of the pickup in SI, by rigs.facts."""
    if absent := missing(facts):
        return Answer(problems=(f"Not stated: {', '.join(absent)}. Enter it as a figure first.",))
    before, after = circuit(facts, now), circuit(facts, then)
    found = resonance(before), resonance(after)
    told = "; ".join(_told(hz, before, after) for hz in TOLD_HZ)
    return Answer(
        words=_words(before, after, *found),
        tables=(Table("Pickup, cable and input", NOW_THEN, _rows(before, after, *found)),),
        assumes=(ASSUMES, *_no_volume(facts)),
        drawing=pickup_plot(
            before,
            after,
            title="The pickup with its cable and input, now and then",
            desc=f"Change from now to then: {told}.",
        ),
        proposal=proposal,
    )


def _rows(
    before: PickupCircuit, after: PickupCircuit, now: Resonance, then: Resonance
) -> tuple[tuple[str, ...], ...]:
    both, circuits = (now, then), (before, after)
    return (
        ("Cable", *(number(c.cable_farads * 1e12, "pF", 0) for c in circuits)),
        ("Resonance", *(hertz(r.peak_hz, "no peak") for r in both)),
        ("Peak, against the coil", *(number(r.peak_db, "dB") for r in both)),
        ("Low end, against the coil", *(number(r.low_db, "dB") for r in both)),
        ("3 dB below the low end at", *(hertz(r.minus3_hz, "above 100 kHz") for r in both)),
    )


def _words(before: PickupCircuit, after: PickupCircuit, now: Resonance, then: Resonance) -> str:
    level = number(abs(change := difference_db(5000.0, before, after)), "dB")
    way = "more" if change > 0 else "less"
    moved = (
        f"The resonance goes from {hertz(now.peak_hz, '')} to {hertz(then.peak_hz, '')}"
        if now.peak_hz and then.peak_hz
        else f"The resonance: {hertz(now.peak_hz, 'no peak')} now, "
        f"{hertz(then.peak_hz, 'no peak')} then"
    )
    return f"{moved}; at 5 kHz {level} {way}."


def _told(hz: float, before: PickupCircuit, after: PickupCircuit) -> str:
    return f"{hertz(hz, '')}: {number(difference_db(hz, before, after), 'dB', sign=True)}"


def _no_volume(facts: Mapping[str, float]) -> tuple[str, ...]:
    if facts.get("volume_pot"):
        return ()
    return ("No volume potentiometer is stated: left out, so the peak is lower than shown.",)
