"""Kinds of gear, and the controls each usually has. Adding one is one entry here.

The usual controls are offered when a unit is added; nobody has to take them.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import NamedTuple

from rigs.settings_of_controls import Style


class Usual(NamedTuple):
    """A control that gear of a kind usually has."""

    name: str
    style: Style = Style.CLOCK
    choices: str = ""
    symbol: str = ""


class Family(Enum):
    """Kinds of gear that are looked for together."""

    INSTRUMENTS = "Instruments"
    EFFECTS = "Pedals and effects"
    AMPLIFIERS = "Amplifiers and loudspeakers"
    DRUMS = "Drums and percussion"
    KEYS = "Keys and playback"
    ROUTING = "Radio, routing, power"


@dataclass(frozen=True)
class Gear:
    """A kind of gear: its label, icon (general icon set), usual controls, and any caution."""

    key: str
    label: str
    icon: str
    family: Family
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
LOAD_CAUTION = (
    "Bridged, each side sees half of the load that is connected, so the least load allowed is "
    "usually twice that of one side: look up what its maker allows."
)
EAR_CAUTION = (
    "Earphones reach levels that damage hearing: begin low, leave the limiter on, and keep to the "
    "local rules on exposure."
)

_ON_OFF = Usual("On", Style.SWITCH, "off, on")
_TONE = (Usual("Bass"), Usual("Middle"), Usual("Treble"))
_AMP = (Usual("Gain"), *_TONE, Usual("Master"))
_PROGRAM = Usual("Program", Style.TEXT)


def _value(name: str, symbol: str) -> Usual:
    return Usual(name, Style.VALUE, symbol=symbol)


def _words(*names: str) -> tuple[Usual, ...]:
    return tuple(Usual(name, Style.TEXT) for name in names)


_OF_FAMILIES: dict[Family, tuple[tuple[str, str, str, tuple[Usual, ...], str], ...]] = {
    Family.INSTRUMENTS: (
        (
            "guitar",
            "guitar",
            "guitar",
            (
                Usual("Pickup", Style.CHOICE, "neck, middle, bridge"),
                Usual("Volume"),
                Usual("Tone"),
            ),
            "",
        ),
        (
            "bass",
            "bass guitar",
            "guitar",
            (
                Usual("Volume"),
                Usual("Blend"),
                Usual("Bass"),
                Usual("Treble"),
            ),
            "",
        ),
        ("string", "bowed string instrument", "music", (), ""),
        ("wind", "wind or brass instrument", "wind", _words("Mouthpiece", "Reed"), ""),
        ("voice", "voice", "mic", (), ""),
    ),
    Family.EFFECTS: (
        (
            "pedal",
            "pedal",
            "square-activity",
            (
                _ON_OFF,
                Usual("Level"),
                Usual("Drive"),
                Usual("Tone"),
            ),
            "",
        ),
        (
            "compressor",
            "compressor",
            "fold-vertical",
            (
                _ON_OFF,
                _value("Threshold", "dB"),
                _value("Ratio", ":1"),
                _value("Attack", "ms"),
                _value("Release", "ms"),
                _value("Output", "dB"),
            ),
            "",
        ),
        (
            "gate",
            "noise gate",
            "door-closed",
            (
                _ON_OFF,
                _value("Threshold", "dB"),
                _value("Release", "ms"),
            ),
            "",
        ),
        (
            "equaliser",
            "equaliser",
            "sliders-vertical",
            (
                _ON_OFF,
                _value("Low", "dB"),
                _value("Low middle", "dB"),
                _value("High middle", "dB"),
                _value("High", "dB"),
                _value("Level", "dB"),
            ),
            "",
        ),
        (
            "delay",
            "delay pedal",
            "repeat",
            (
                _ON_OFF,
                _value("Time", "ms"),
                Usual("Repeats"),
                Usual("Mix"),
            ),
            "",
        ),
        (
            "modulation",
            "modulation pedal",
            "audio-waveform",
            (
                _ON_OFF,
                Usual("Rate"),
                Usual("Depth"),
                Usual("Mix"),
            ),
            "",
        ),
        (
            "reverb",
            "reverb pedal",
            "layers",
            (
                _ON_OFF,
                Usual("Decay"),
                Usual("Tone"),
                Usual("Mix"),
            ),
            "",
        ),
        ("wah", "wah pedal", "footprints", (_ON_OFF, Usual("Range"), Usual("Volume")), ""),
        (
            "volume_pedal",
            "volume pedal",
            "footprints",
            (
                Usual("Least level"),
                _value("Position", "%"),
            ),
            "",
        ),
        (
            "tuner",
            "tuner",
            "gauge",
            (
                _value("Reference", "Hz"),
                Usual("While tuning", Style.CHOICE, "muted, heard"),
            ),
            "",
        ),
        (
            "rack",
            "rack effects unit",
            "server",
            (
                _PROGRAM,
                Usual("Input"),
                Usual("Mix"),
                Usual("Output"),
            ),
            MAINS_CAUTION,
        ),
    ),
    Family.AMPLIFIERS: (
        (
            "valve_head",
            "valve amplifier head",
            "audio-lines",
            (
                Usual("Gain"),
                *_TONE,
                Usual("Presence"),
                Usual("Master"),
                Usual("Standby", Style.SWITCH, "standby, on"),
                Usual("Speaker tap", Style.CHOICE, "4 Ω, 8 Ω, 16 Ω"),
            ),
            f"{VALVE_CAUTION} {MAINS_CAUTION}",
        ),
        ("head", "amplifier head", "audio-lines", _AMP, MAINS_CAUTION),
        ("combo", "combo amplifier", "audio-lines", _AMP, f"{VALVE_CAUTION} {MAINS_CAUTION}"),
        (
            "preamp",
            "preamplifier",
            "audio-lines",
            (
                Usual("Gain"),
                *_TONE,
                Usual("Level"),
                Usual("Ground lift", Style.SWITCH, "off, on"),
            ),
            MAINS_CAUTION,
        ),
        (
            "power_amp",
            "power amplifier",
            "audio-lines",
            (
                Usual("Channel A"),
                Usual("Channel B"),
                Usual("Mode", Style.CHOICE, "stereo, parallel, bridged"),
            ),
            f"{LOAD_CAUTION} {MAINS_CAUTION}",
        ),
        ("cabinet", "speaker cabinet", "speaker", (), ""),
        (
            "rotary",
            "rotary-speaker cabinet",
            "fan",
            (
                Usual("Speed", Style.SWITCH, "slow, stop, fast"),
                Usual("Volume"),
            ),
            f"{ROTOR_CAUTION} {VALVE_CAUTION}",
        ),
    ),
    Family.DRUMS: (
        ("drum", "drum", "drum", _words("Pitch", "Muffling", "Lower head", "Snares"), ""),
        ("cymbal", "cymbal", "disc-2", (_value("Height", "cm"), *_words("Tilt")), ""),
        ("percussion", "percussion instrument", "drumstick", _words("Pitch", "Muffling"), ""),
    ),
    Family.KEYS: (
        (
            "keyboard",
            "keyboard",
            "piano",
            (
                Usual("Volume"),
                _PROGRAM,
                *_words("Split"),
                _value("Transpose", "semitones"),
            ),
            "",
        ),
        (
            "organ",
            "organ",
            "keyboard-music",
            (
                *_words(
                    "Upper drawbars", "Lower drawbars", "Pedal drawbars", "Vibrato", "Percussion"
                ),
                Usual("Volume"),
            ),
            "",
        ),
        (
            "synth",
            "synthesiser",
            "piano",
            (
                _PROGRAM,
                Usual("Volume"),
                Usual("Cutoff"),
                Usual("Resonance"),
                Usual("Attack"),
                Usual("Decay"),
                Usual("Sustain"),
                Usual("Release"),
            ),
            "",
        ),
        (
            "sampler",
            "sampler or pads",
            "grid-3x3",
            (
                _PROGRAM,
                Usual("Volume"),
                _value("Sensitivity", "%"),
            ),
            "",
        ),
        (
            "playback",
            "playback computer",
            "laptop",
            (
                _value("Output", "dB"),
                _value("Sample rate", "kHz"),
                _value("Buffer", "samples"),
            ),
            "",
        ),
    ),
    Family.ROUTING: (
        (
            "wireless",
            "wireless receiver",
            "radio",
            (
                _value("Frequency", "MHz"),
                _value("Output", "dB"),
                *_words("Group and channel"),
                _value("Transmitter gain", "dB"),
            ),
            "",
        ),
        (
            "in_ear",
            "in-ear receiver",
            "headphones",
            (
                _value("Frequency", "MHz"),
                Usual("Volume"),
                Usual("Limiter", Style.SWITCH, "off, on"),
            ),
            EAR_CAUTION,
        ),
        ("switcher", "switcher or splitter", "split", _words("Route"), ""),
        ("power", "power supply", "plug", _words("Outlets"), MAINS_CAUTION),
        ("other", "other", "box", (), ""),
    ),
}

GEAR: dict[str, Gear] = {
    key: Gear(key, label, icon, family, usual, caution)
    for family, kinds in _OF_FAMILIES.items()
    for key, label, icon, usual, caution in kinds
}
GEAR_CHOICES = [(gear.key, gear.label) for gear in GEAR.values()]
# Kinds that travel by themselves: no pack list has them.
NOT_PACKED = frozenset({"voice"})
