"""Every kind of gear there is. Adding one is one entry here, and nothing anywhere else.

The usual controls are offered when a unit is added; nobody has to take them. They stand in the
order in which one reads them off the gear: units written one a line are read in it.
"""

from __future__ import annotations

from typing import Any

from rigs.gear.cautions import (
    EAR_CAUTION,
    LOAD_BOX_CAUTION,
    LOAD_CAUTION,
    MAINS_CAUTION,
    RADIO_CAUTION,
    ROTOR_CAUTION,
    SIMULATOR_CAUTION,
    SUPPLY_CAUTION,
    VALVE_CAUTION,
)
from rigs.gear.kind import Family, Gear, Has, Usual
from rigs.radio import CHANNEL, FREQUENCY, MHZ
from rigs.settings_of_controls import Style

_ON_OFF = Usual("On", Style.SWITCH, "off, on")
_TONE = (Usual("Bass"), Usual("Middle"), Usual("Treble"))
_AMP = (Usual("Gain"), *_TONE, Usual("Master"))
_PROGRAM = Usual("Program", Style.TEXT)
# The level of the click; a finding looks for where it goes once it has one.
CLICK = "Click"

_PICKUP = (
    "pickup_inductance",
    "pickup_resistance",
    "pickup_capacitance",
    "volume_pot",
    "scale_length",
)
_POWERED = ("tap_impedance", "output_power", "input_impedance", "mains_power")


def _value(name: str, symbol: str) -> Usual:
    return Usual(name, Style.VALUE, symbol=symbol)


def _words(*names: str) -> tuple[Usual, ...]:
    return tuple(Usual(name, Style.TEXT) for name in names)


def _numbered(*names: str) -> tuple[Usual, ...]:
    """Knobs with the numbers 0 to 10, as instruments have them (common practice, no source)."""
    return tuple(Usual(name, Style.DIAL) for name in names)


# What a pedal asks of its power supply, and what an outlet gives, are written alike: “9 V, centre
# negative, 35 mA” (rigs/checks/supplies.py).
_SUPPLY = Usual("Supply", Style.TEXT, taken=False)


def _effect(key: str, label: str, icon: str, *usual: Usual, **traits: Any) -> Gear:
    """A kind of gear that stands between an instrument and its amplifier."""
    more = {"figures": ("input_impedance",), "needs_sound": True, **traits}
    offered = (*usual, _SUPPLY)
    return Gear(key=key, label=label, icon=icon, family=Family.EFFECTS, usual=offered, **more)


_INSTRUMENTS = (
    Gear(
        key="guitar",
        label="guitar",
        icon="guitar",
        family=Family.INSTRUMENTS,
        usual=(
            Usual("Pickup", Style.CHOICE, "neck, middle, bridge"),
            *_numbered("Volume", "Tone"),
        ),
        figures=_PICKUP,
        strung=True,
        pickup=True,
        held=True,
        least_tension=50.0,
    ),
    Gear(
        key="bass",
        label="bass guitar",
        icon="guitar",
        family=Family.INSTRUMENTS,
        usual=(
            *_numbered("Volume", "Blend", "Bass", "Treble"),
            Usual("Tone", Style.DIAL, taken=False),
        ),
        figures=_PICKUP,
        strung=True,
        pickup=True,
        held=True,
        least_tension=110.0,
    ),
    Gear(
        key="string",
        label="bowed string instrument",
        icon="music",
        family=Family.INSTRUMENTS,
        acoustic=True,
        strung=True,
        held=True,
    ),
    Gear(
        key="wind",
        label="wind or brass instrument",
        icon="wind",
        family=Family.INSTRUMENTS,
        usual=_words("Mouthpiece", "Reed"),
        acoustic=True,
        held=True,
    ),
    Gear(
        key="voice",
        label="voice",
        icon="mic",
        family=Family.INSTRUMENTS,
        acoustic=True,
        person=True,
    ),
)

_EFFECTS = (
    _effect(
        "pedal",
        "pedal",
        "square-activity",
        _ON_OFF,
        Usual("Level"),
        Usual("Drive"),
        Usual("Tone"),
        called=("fuzz", "drive", "overdrive", "distortion", "boost"),
    ),
    _effect(
        "compressor",
        "compressor",
        "fold-vertical",
        _ON_OFF,
        _value("Threshold", "dB"),
        _value("Ratio", ":1"),
        _value("Attack", "ms"),
        _value("Release", "ms"),
        _value("Output", "dB"),
        compresses=True,
        called=("comp",),
    ),
    _effect(
        "gate",
        "noise gate",
        "door-closed",
        _ON_OFF,
        _value("Threshold", "dB"),
        _value("Range", "dB"),
        _value("Hold", "ms"),
        _value("Release", "ms"),
    ),
    _effect(
        "equaliser",
        "equaliser",
        "sliders-vertical",
        _ON_OFF,
        _value("Low", "dB"),
        _value("Low middle", "dB"),
        _value("High middle", "dB"),
        _value("High", "dB"),
        _value("Level", "dB"),
    ),
    _effect(
        "delay",
        "delay pedal",
        "repeat",
        _ON_OFF,
        _value("Time", "ms"),
        Usual("Repeats"),
        Usual("Mix"),
        called=("echo",),
    ),
    _effect(
        "modulation",
        "modulation pedal",
        "audio-waveform",
        _ON_OFF,
        Usual("Rate"),
        Usual("Depth"),
        Usual("Mix"),
    ),
    _effect(
        "reverb",
        "reverb pedal",
        "layers",
        _ON_OFF,
        Usual("Decay"),
        Usual("Tone"),
        Usual("Mix"),
    ),
    _effect("wah", "wah pedal", "footprints", _ON_OFF, Usual("Range"), Usual("Volume")),
    _effect(
        "volume_pedal",
        "volume pedal",
        "footprints",
        Usual("Least level"),
        _value("Position", "%"),
    ),
    _effect(
        "tuner",
        "tuner",
        "gauge",
        _value("Reference", "Hz"),
        Usual("While tuning", Style.CHOICE, "muted, heard"),
        may_end=True,
    ),
    _effect(
        "rack",
        "rack effects unit",
        "server",
        _PROGRAM,
        Usual("Input"),
        Usual("Mix"),
        Usual("Output"),
        figures=("input_impedance", "mains_power"),
        cautions=(MAINS_CAUTION,),
        line_out=True,
        holds_scenes=True,
        takes_midi=True,
    ),
    _effect(
        "speaker_simulator",
        "cabinet simulator",
        "speaker",
        _ON_OFF,
        *_words("Cabinet", "Microphone"),
        _value("Level", "dB"),
        cautions=(SIMULATOR_CAUTION,),
        bears_speaker_power=Has.PERHAPS,
        line_out=True,
    ),
)

_AMPLIFIERS = (
    Gear(
        key="valve_head",
        label="valve amplifier head",
        icon="audio-lines",
        family=Family.AMPLIFIERS,
        usual=(
            Usual("Gain"),
            *_TONE,
            Usual("Presence"),
            Usual("Master"),
            Usual("Standby", Style.SWITCH, "standby, on"),
            Usual("Speaker tap", Style.CHOICE, "4 Ω, 8 Ω, 16 Ω"),
        ),
        cautions=(VALVE_CAUTION, MAINS_CAUTION),
        figures=_POWERED,
        needs_sound=True,
        drives_loudspeakers=True,
        valves=Has.YES,
    ),
    Gear(
        key="head",
        label="amplifier head",
        icon="audio-lines",
        family=Family.AMPLIFIERS,
        usual=_AMP,
        cautions=(MAINS_CAUTION,),
        figures=_POWERED,
        needs_sound=True,
        drives_loudspeakers=True,
    ),
    Gear(
        key="combo",
        label="combo amplifier",
        icon="audio-lines",
        family=Family.AMPLIFIERS,
        usual=_AMP,
        cautions=(VALVE_CAUTION, MAINS_CAUTION),
        figures=("speaker_impedance", *_POWERED),
        loudspeaker=True,
        needs_sound=True,
        drives_loudspeakers=True,
        # A combo may have valves or none, so the caution is given: being warned in vain does no
        # harm.
        valves=Has.PERHAPS,
    ),
    Gear(
        key="preamp",
        label="preamplifier",
        icon="audio-lines",
        family=Family.AMPLIFIERS,
        usual=(
            Usual("Gain"),
            *_TONE,
            Usual("Level"),
            Usual("Ground lift", Style.SWITCH, "off, on"),
        ),
        cautions=(MAINS_CAUTION,),
        figures=("input_impedance",),
        needs_sound=True,
    ),
    Gear(
        key="power_amp",
        label="power amplifier",
        icon="audio-lines",
        family=Family.AMPLIFIERS,
        usual=(
            Usual("Channel A"),
            Usual("Channel B"),
            Usual("Mode", Style.CHOICE, "stereo, parallel, bridged"),
        ),
        cautions=(LOAD_CAUTION, MAINS_CAUTION),
        figures=("output_power", "input_impedance", "mains_power"),
        needs_sound=True,
        drives_loudspeakers=True,
    ),
    Gear(
        key="modeller",
        label="amp modeller",
        icon="cpu",
        family=Family.AMPLIFIERS,
        usual=(_PROGRAM, *_words("Amplifier", "Cabinet"), *_AMP, _SUPPLY),
        cautions=(MAINS_CAUTION,),
        figures=("input_impedance", "mains_power"),
        needs_sound=True,
        holds_scenes=True,
        takes_midi=True,
    ),
    Gear(
        key="load_box",
        label="load box or attenuator",
        icon="flame",
        family=Family.AMPLIFIERS,
        usual=(
            _value("Attenuation", "dB"),
            Usual("Impedance", Style.CHOICE, "4 Ω, 8 Ω, 16 Ω"),
            _value("Line output", "dB"),
        ),
        cautions=(LOAD_BOX_CAUTION, VALVE_CAUTION),
        figures=("speaker_impedance", "power_handling"),
        needs_sound=True,
        bears_speaker_power=Has.YES,
        hides_load=True,
    ),
    Gear(
        key="cabinet",
        label="speaker cabinet",
        icon="speaker",
        family=Family.AMPLIFIERS,
        called=("cab",),
        figures=("speaker_impedance", "power_handling"),
        loudspeaker=True,
        needs_sound=True,
        bears_speaker_power=Has.YES,
    ),
    Gear(
        key="rotary",
        label="rotary-speaker cabinet",
        icon="fan",
        family=Family.AMPLIFIERS,
        usual=(Usual("Speed", Style.SWITCH, "slow, stop, fast"), Usual("Volume")),
        cautions=(ROTOR_CAUTION, VALVE_CAUTION),
        figures=("speaker_impedance", "pair_tolerance", "mains_power"),
        loudspeaker=True,
        needs_sound=True,
        valves=Has.PERHAPS,
        bears_speaker_power=Has.YES,
    ),
)

_DRUMS = (
    Gear(
        key="drum",
        label="drum",
        icon="drum",
        family=Family.DRUMS,
        called=("kick", "snare", "tom", "toms"),
        usual=_words("Pitch", "Muffling", "Resonant head", "Snares"),
        figures=("diameter", "shell_depth", "pair_tolerance"),
        acoustic=True,
        of_a_kit=True,
        drum_heads=True,
    ),
    Gear(
        key="cymbal",
        label="cymbal",
        icon="disc-2",
        family=Family.DRUMS,
        called=("hat", "hats", "hi-hat", "hi hat", "ride", "crash", "splash", "china"),
        usual=(_value("Height", "cm"), *_words("Tilt")),
        figures=("diameter", "pair_tolerance"),
        acoustic=True,
        of_a_kit=True,
    ),
    Gear(
        key="percussion",
        label="percussion instrument",
        icon="drumstick",
        family=Family.DRUMS,
        usual=_words("Pitch", "Muffling"),
        figures=("pair_tolerance",),
        acoustic=True,
    ),
)

_KEYS = (
    Gear(
        key="keyboard",
        label="keyboard",
        icon="piano",
        family=Family.KEYS,
        usual=(
            Usual("Volume"),
            _PROGRAM,
            *_words("Split"),
            _value("Transpose", "semitones"),
        ),
        figures=("pair_tolerance", "mains_power"),
        holds_scenes=True,
        takes_midi=True,
    ),
    Gear(
        key="organ",
        label="organ",
        icon="keyboard-music",
        family=Family.KEYS,
        usual=(
            *_words("Upper drawbars", "Lower drawbars", "Pedal drawbars", "Vibrato", "Percussion"),
            Usual("Volume"),
        ),
        figures=("mains_power",),
    ),
    Gear(
        key="synth",
        label="synthesiser",
        icon="piano",
        family=Family.KEYS,
        usual=(
            _PROGRAM,
            Usual("Volume"),
            Usual("Cutoff"),
            Usual("Resonance"),
            Usual("Attack"),
            Usual("Decay"),
            Usual("Sustain"),
            Usual("Release"),
        ),
        figures=("mains_power",),
        holds_scenes=True,
        takes_midi=True,
    ),
    Gear(
        key="sampler",
        label="sampler or pads",
        icon="grid-3x3",
        family=Family.KEYS,
        usual=(_PROGRAM, Usual("Volume"), _value("Sensitivity", "%")),
        holds_scenes=True,
        takes_midi=True,
    ),
    Gear(
        key="playback",
        label="playback computer",
        icon="laptop",
        family=Family.KEYS,
        usual=(
            _value("Output", "dB"),
            _value(CLICK, "dB"),
            _value("Sample rate", "kHz"),
            _value("Buffer", "samples"),
        ),
        figures=("mains_power",),
        plays_back=True,
        takes_midi=True,
    ),
    # Passes what one of two machines plays; the other runs along.
    Gear(
        key="playback_switch",
        label="playback changeover",
        icon="arrow-right-left",
        family=Family.KEYS,
        usual=(
            Usual("In use", Style.SWITCH, "A, B"),
            Usual("Changes over", Style.CHOICE, "by itself, by hand"),
        ),
        figures=("mains_power",),
        needs_sound=True,
        line_out=True,
    ),
)

_ROUTING = (
    Gear(
        key="wireless",
        label="wireless receiver",
        icon="radio",
        family=Family.ROUTING,
        called=("radio",),
        usual=(
            _value(FREQUENCY, MHZ),
            _value("Output", "dB"),
            *_words(CHANNEL),
            _value("Transmitter gain", "dB"),
        ),
        figures=("input_impedance",),
        receives_radio=True,
    ),
    Gear(
        key="in_ear",
        label="in-ear receiver",
        icon="headphones",
        family=Family.ROUTING,
        usual=(
            _value(FREQUENCY, MHZ),
            Usual("Volume"),
            Usual("Limiter", Style.SWITCH, "off, on"),
        ),
        cautions=(EAR_CAUTION,),
        receives_radio=True,
        loudspeaker=True,
        in_ears=True,
    ),
    Gear(
        key="in_ear_transmitter",
        label="in-ear transmitter",
        icon="radio-tower",
        family=Family.ROUTING,
        usual=(
            _value(FREQUENCY, MHZ),
            *_words(CHANNEL),
            _value("Input", "dB"),
            Usual("Mode", Style.CHOICE, "mono, stereo"),
            _value("Transmitter power", "mW"),
        ),
        cautions=(EAR_CAUTION, RADIO_CAUTION),
        figures=("input_impedance", "mains_power"),
        needs_sound=True,
        may_end=True,
    ),
    Gear(
        key="switcher",
        label="switcher or splitter",
        icon="split",
        family=Family.ROUTING,
        called=("splitter",),
        usual=_words("Route"),
        needs_sound=True,
        bears_speaker_power=Has.PERHAPS,
        holds_scenes=True,
    ),
    Gear(
        key="controller",
        label="MIDI or loop controller",
        icon="workflow",
        family=Family.ROUTING,
        usual=(
            _PROGRAM,
            *_words("Bank", "Loops"),
            Usual("MIDI channel", Style.VALUE, taken=False),
            _SUPPLY,
        ),
        may_end=True,
        holds_scenes=True,
        takes_midi=True,
    ),
    Gear(
        key="power",
        label="power supply",
        icon="plug",
        family=Family.ROUTING,
        called=("supply",),
        usual=_words("Outlet 1", "Outlet 2", "Outlet 3", "Outlet 4"),
        cautions=(SUPPLY_CAUTION, MAINS_CAUTION),
        figures=("mains_power",),
        carries_sound=False,
        supplies_power=True,
    ),
    Gear(
        key="other",
        label="other",
        icon="box",
        family=Family.ROUTING,
        may_end=True,
        bears_speaker_power=Has.PERHAPS,
    ),
)

KINDS = (*_INSTRUMENTS, *_EFFECTS, *_AMPLIFIERS, *_DRUMS, *_KEYS, *_ROUTING)
