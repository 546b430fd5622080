"""Kinds of gear, and the controls each usually has. Adding one is one entry here.

The usual controls are offered when a unit is added; nobody has to take them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from rigs.settings_of_controls import Style


class Usual(NamedTuple):
    """A control that gear of a kind usually has."""

    name: str
    style: Style = Style.CLOCK
    choices: str = ""
    symbol: str = ""


@dataclass(frozen=True)
class Gear:
    """A kind of gear: its label, icon (general icon set), usual controls, and any caution."""

    key: str
    label: str
    icon: str
    usual: tuple[Usual, ...] = ()
    caution: str = ""


VALVE_CAUTION = (
    "Valve amplifiers hold dangerous voltages after they are switched off and must never run "
    "without their speaker load. Leave the inside to a qualified technician."
)
MAINS_CAUTION = (
    "Never lift a protective earth to cure hum. Mains work belongs to a licensed electrician and "
    "to the local code."
)
ROTOR_CAUTION = (
    "Moving rotors: keep stands, cables, hair and fingers clear; isolate before opening."
)

_ON_OFF = Usual("On", Style.SWITCH, "off, on")
_TONE = (Usual("Bass"), Usual("Middle"), Usual("Treble"))
_AMP = (Usual("Gain"), *_TONE, Usual("Master"))

GEAR: dict[str, Gear] = {
    gear.key: gear
    for gear in (
        Gear("guitar", "guitar", "guitar", (
            Usual("Pickup", Style.CHOICE, "neck, middle, bridge"), Usual("Volume"), Usual("Tone"),
        )),
        Gear("bass", "bass guitar", "guitar", (
            Usual("Volume"), Usual("Blend"), Usual("Bass"), Usual("Treble"),
        )),
        Gear("pedal", "pedal", "square-activity", (
            _ON_OFF, Usual("Level"), Usual("Drive"), Usual("Tone"),
        )),
        Gear("compressor", "compressor", "square-activity", (
            _ON_OFF, Usual("Threshold", Style.VALUE, symbol="dB"),
            Usual("Ratio", Style.VALUE, symbol=":1"),
            Usual("Attack", Style.VALUE, symbol="ms"), Usual("Release", Style.VALUE, symbol="ms"),
            Usual("Output", Style.VALUE, symbol="dB"),
        )),
        Gear("valve_head", "valve amplifier head", "audio-lines", (
            Usual("Gain"), *_TONE, Usual("Presence"), Usual("Master"),
            Usual("Standby", Style.SWITCH, "standby, on"),
            Usual("Speaker tap", Style.CHOICE, "4 Ω, 8 Ω, 16 Ω"),
        ), f"{VALVE_CAUTION} {MAINS_CAUTION}"),
        Gear("head", "amplifier head", "audio-lines", _AMP, MAINS_CAUTION),
        Gear("combo", "combo amplifier", "audio-lines", _AMP, f"{VALVE_CAUTION} {MAINS_CAUTION}"),
        Gear("cabinet", "speaker cabinet", "speaker"),
        Gear("rotary", "rotary-speaker cabinet", "fan", (
            Usual("Speed", Style.SWITCH, "slow, stop, fast"), Usual("Volume"),
        ), f"{ROTOR_CAUTION} {VALVE_CAUTION}"),
        Gear("keyboard", "keyboard", "piano", (Usual("Volume"), Usual("Program", Style.TEXT))),
        Gear("drum", "drum", "drum", (
            Usual("Pitch", Style.TEXT), Usual("Muffling", Style.TEXT),
        )),
        Gear("cymbal", "cymbal", "disc-2"),
        Gear("wind", "wind or brass instrument", "wind"),
        Gear("string", "bowed string instrument", "music"),
        Gear("voice", "voice", "mic"),
        Gear("wireless", "wireless receiver", "radio", (
            Usual("Frequency", Style.VALUE, symbol="MHz"),
            Usual("Output", Style.VALUE, symbol="dB"),
        )),
        Gear("switcher", "switcher or splitter", "split", (Usual("Route", Style.TEXT),)),
        Gear("power", "power supply", "plug", caution=MAINS_CAUTION),
        Gear("other", "other", "box"),
    )
}  # fmt: skip
GEAR_CHOICES = [(gear.key, gear.label) for gear in GEAR.values()]
