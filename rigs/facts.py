"""Figures a unit may have, kept in SI and shown as crews say them. Adding one is one entry here."""

from __future__ import annotations

from decimal import Decimal
from typing import NamedTuple

from core.units import plain


class FactKind(NamedTuple):
    """A figure: its label, the unit it is shown in, and how many SI units that is."""

    key: str
    label: str
    symbol: str
    per_shown: Decimal  # SI value of one shown unit: 1e-12 for pF
    low: Decimal  # in SI, inclusive
    high: Decimal
    gear: tuple[str, ...] = ()  # the kinds of gear it is usual for

    def shown(self, value: Decimal) -> str:
        """1.5E-10 F → “150 pF”."""
        return f"{plain(value / self.per_shown)} {self.symbol}"

    def in_si(self, shown: Decimal) -> Decimal:
        return shown * self.per_shown


def _fact(key: str, label: str, symbol: str, per: str, low: str, high: str, *gear: str) -> FactKind:
    return FactKind(key, label, symbol, Decimal(per), Decimal(low), Decimal(high), gear)


# Pedals and effects of rigs.gear; here, because the rules of findings know nothing of its forms.
EFFECTS = frozenset(
    {
        "pedal",
        "compressor",
        "gate",
        "equaliser",
        "delay",
        "modulation",
        "reverb",
        "wah",
        "volume_pedal",
        "tuner",
        "rack",
    }
)
STRINGED = frozenset({"guitar", "bass", "string"})  # kinds of gear that are tuned
# Of these a player holds one at a time: with several of them on a rig, the first is the usual one.
IN_HAND = STRINGED | {"wind"}
_STRINGED = ("guitar", "bass")  # those with pickups and a scale
_AMPS = ("valve_head", "head", "combo")

FACTS: dict[str, FactKind] = {
    fact.key: fact
    for fact in (
        _fact(
            "speaker_impedance",
            "speaker impedance",
            "Ω",
            "1",
            "0.5",
            "1000",
            "cabinet",
            "combo",
            "rotary",
        ),
        _fact("tap_impedance", "speaker tap in use", "Ω", "1", "0.5", "1000", *_AMPS),
        _fact("output_power", "output power", "W", "1", "0.001", "100000", *_AMPS, "power_amp"),
        _fact("power_handling", "power handling", "W", "1", "0.001", "100000", "cabinet"),
        _fact(
            "input_impedance",
            "input impedance",
            "kΩ",
            "1000",
            "1",
            "1e8",
            *sorted(EFFECTS),
            *_AMPS,
            "preamp",
            "power_amp",
            "wireless",
        ),
        _fact("pickup_inductance", "pickup inductance", "H", "1", "0.001", "100", *_STRINGED),
        _fact("pickup_resistance", "pickup resistance", "kΩ", "1000", "1", "1e6", *_STRINGED),
        _fact("pickup_capacitance", "pickup capacitance", "pF", "1e-12", "0", "1e-6", *_STRINGED),
        _fact("volume_pot", "volume potentiometer", "kΩ", "1000", "1000", "1e8", *_STRINGED),
        _fact("scale_length", "scale length", "mm", "0.001", "0.1", "3", *_STRINGED),
        _fact("spl_at_mic", "level at the microphone", "dB SPL", "1", "20", "194"),
        _fact("diameter", "diameter", "in", "0.0254", "0.02", "2", "drum", "cymbal"),
        _fact("shell_depth", "depth of the shell", "in", "0.0254", "0.02", "2", "drum"),
        _fact(
            "pair_tolerance",
            "stereo pair tolerance",
            "mm",
            "0.001",
            "0",
            "1",
            "drum",
            "cymbal",
            "percussion",
            "keyboard",
            "rotary",
        ),
        _fact(
            "mains_power",
            "mains power drawn",
            "W",
            "1",
            "0",
            "100000",
            *_AMPS,
            "power_amp",
            "rack",
            "keyboard",
            "organ",
            "synth",
            "rotary",
            "power",
        ),
        _fact("weight", "weight in its case", "kg", "1", "0", "5000"),
    )
}
FACT_CHOICES = [(fact.key, fact.label) for fact in FACTS.values()]


def facts_for(gear: str) -> list[FactKind]:
    """The figures that are usual for a kind of gear, then all the others."""
    return sorted(FACTS.values(), key=lambda fact: gear not in fact.gear)
