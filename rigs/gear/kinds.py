"""Every kind of gear there is. Adding one is one entry here, and nothing anywhere else.

The usual controls are offered when a unit is added; nobody has to take them. They stand in the
order in which one reads them off the gear: units written one a line are read in it.
"""

from __future__ import annotations

from typing import Any

from core.languages.marked import gettext_noop
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

_ON_OFF = Usual(gettext_noop("On"), Style.SWITCH, gettext_noop("off, on"))
_TONE = (Usual(gettext_noop("Bass")), Usual(gettext_noop("Middle")), Usual(gettext_noop("Treble")))
_AMP = (Usual(gettext_noop("Gain")), *_TONE, Usual(gettext_noop("Master")))
_PROGRAM = Usual(gettext_noop("Program"), Style.TEXT)
# The level of the click; a finding looks for where it goes once it has one.
CLICK = gettext_noop("Click")

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
_SUPPLY = Usual(gettext_noop("Supply"), Style.TEXT, taken=False)


def _effect(key: str, label: str, icon: str, *usual: Usual, **traits: Any) -> Gear:
    """A kind of gear that stands between an instrument and its amplifier."""
    more = {"figures": ("input_impedance",), "needs_sound": True, **traits}
    offered = (*usual, _SUPPLY)
    return Gear(key=key, label=label, icon=icon, family=Family.EFFECTS, usual=offered, **more)


_INSTRUMENTS = (
    Gear(
        key="guitar",
        label=gettext_noop("guitar"),
        icon="guitar",
        family=Family.INSTRUMENTS,
        usual=(
            Usual(gettext_noop("Pickup"), Style.CHOICE, gettext_noop("neck, middle, bridge")),
            *_numbered(gettext_noop("Volume"), gettext_noop("Tone")),
        ),
        figures=_PICKUP,
        strung=True,
        pickup=True,
        held=True,
        least_tension=50.0,
    ),
    Gear(
        key="bass",
        label=gettext_noop("bass guitar"),
        icon="guitar",
        family=Family.INSTRUMENTS,
        usual=(
            *_numbered(
                gettext_noop("Volume"),
                gettext_noop("Blend"),
                gettext_noop("Bass"),
                gettext_noop("Treble"),
            ),
            Usual(gettext_noop("Tone"), Style.DIAL, taken=False),
        ),
        figures=_PICKUP,
        strung=True,
        pickup=True,
        held=True,
        least_tension=110.0,
    ),
    Gear(
        key="string",
        label=gettext_noop("bowed string instrument"),
        icon="music",
        family=Family.INSTRUMENTS,
        acoustic=True,
        strung=True,
        held=True,
    ),
    Gear(
        key="wind",
        label=gettext_noop("wind or brass instrument"),
        icon="wind",
        family=Family.INSTRUMENTS,
        usual=_words(gettext_noop("Mouthpiece"), gettext_noop("Reed")),
        acoustic=True,
        held=True,
    ),
    Gear(
        key="voice",
        label=gettext_noop("voice"),
        icon="mic",
        family=Family.INSTRUMENTS,
        acoustic=True,
        person=True,
    ),
)

_EFFECTS = (
    _effect(
        "pedal",
        gettext_noop("pedal"),
        "square-activity",
        _ON_OFF,
        Usual(gettext_noop("Level")),
        Usual(gettext_noop("Drive")),
        Usual(gettext_noop("Tone")),
        called=("fuzz", "drive", "overdrive", "distortion", "boost"),
    ),
    _effect(
        "compressor",
        gettext_noop("compressor"),
        "fold-vertical",
        _ON_OFF,
        _value(gettext_noop("Threshold"), "dB"),
        _value(gettext_noop("Ratio"), ":1"),
        _value(gettext_noop("Attack"), "ms"),
        _value(gettext_noop("Release"), "ms"),
        _value(gettext_noop("Output"), "dB"),
        compresses=True,
        called=("comp",),
    ),
    _effect(
        "gate",
        gettext_noop("noise gate"),
        "door-closed",
        _ON_OFF,
        _value(gettext_noop("Threshold"), "dB"),
        _value(gettext_noop("Range"), "dB"),
        _value(gettext_noop("Hold"), "ms"),
        _value(gettext_noop("Release"), "ms"),
    ),
    _effect(
        "equaliser",
        gettext_noop("equaliser"),
        "sliders-vertical",
        _ON_OFF,
        _value(gettext_noop("Low"), "dB"),
        _value(gettext_noop("Low middle"), "dB"),
        _value(gettext_noop("High middle"), "dB"),
        _value(gettext_noop("High"), "dB"),
        _value(gettext_noop("Level"), "dB"),
    ),
    _effect(
        "delay",
        gettext_noop("delay pedal"),
        "repeat",
        _ON_OFF,
        _value(gettext_noop("Time"), "ms"),
        Usual(gettext_noop("Repeats")),
        Usual(gettext_noop("Mix")),
        called=("echo",),
    ),
    _effect(
        "modulation",
        gettext_noop("modulation pedal"),
        "audio-waveform",
        _ON_OFF,
        Usual(gettext_noop("Rate")),
        Usual(gettext_noop("Depth")),
        Usual(gettext_noop("Mix")),
    ),
    _effect(
        "reverb",
        gettext_noop("reverb pedal"),
        "layers",
        _ON_OFF,
        Usual(gettext_noop("Decay")),
        Usual(gettext_noop("Tone")),
        Usual(gettext_noop("Mix")),
    ),
    _effect(
        "wah",
        gettext_noop("wah pedal"),
        "footprints",
        _ON_OFF,
        Usual(gettext_noop("Range")),
        Usual(gettext_noop("Volume")),
    ),
    _effect(
        "volume_pedal",
        gettext_noop("volume pedal"),
        "footprints",
        Usual(gettext_noop("Least level")),
        _value(gettext_noop("Position"), "%"),
    ),
    _effect(
        "tuner",
        gettext_noop("tuner"),
        "gauge",
        _value(gettext_noop("Reference"), "Hz"),
        Usual(gettext_noop("While tuning"), Style.CHOICE, gettext_noop("muted, heard")),
        may_end=True,
    ),
    _effect(
        "rack",
        gettext_noop("rack effects unit"),
        "server",
        _PROGRAM,
        Usual(gettext_noop("Input")),
        Usual(gettext_noop("Mix")),
        Usual(gettext_noop("Output")),
        figures=("input_impedance", "mains_power"),
        cautions=(MAINS_CAUTION,),
        line_out=True,
        holds_scenes=True,
        takes_midi=True,
    ),
    _effect(
        "speaker_simulator",
        gettext_noop("cabinet simulator"),
        "speaker",
        _ON_OFF,
        *_words(gettext_noop("Cabinet"), gettext_noop("Microphone")),
        _value(gettext_noop("Level"), "dB"),
        cautions=(SIMULATOR_CAUTION,),
        bears_speaker_power=Has.PERHAPS,
        line_out=True,
    ),
)

_AMPLIFIERS = (
    Gear(
        key="valve_head",
        label=gettext_noop("valve amplifier head"),
        icon="audio-lines",
        family=Family.AMPLIFIERS,
        usual=(
            Usual(gettext_noop("Gain")),
            *_TONE,
            Usual(gettext_noop("Presence")),
            Usual(gettext_noop("Master")),
            Usual(gettext_noop("Standby"), Style.SWITCH, gettext_noop("standby, on")),
            Usual(gettext_noop("Speaker tap"), Style.CHOICE, "4 Ω, 8 Ω, 16 Ω"),
        ),
        cautions=(VALVE_CAUTION, MAINS_CAUTION),
        figures=_POWERED,
        needs_sound=True,
        drives_loudspeakers=True,
        valves=Has.YES,
    ),
    Gear(
        key="head",
        label=gettext_noop("amplifier head"),
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
        label=gettext_noop("combo amplifier"),
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
        label=gettext_noop("preamplifier"),
        icon="audio-lines",
        family=Family.AMPLIFIERS,
        usual=(
            Usual(gettext_noop("Gain")),
            *_TONE,
            Usual(gettext_noop("Level")),
            Usual(gettext_noop("Ground lift"), Style.SWITCH, gettext_noop("off, on")),
        ),
        cautions=(MAINS_CAUTION,),
        figures=("input_impedance",),
        needs_sound=True,
    ),
    Gear(
        key="power_amp",
        label=gettext_noop("power amplifier"),
        icon="audio-lines",
        family=Family.AMPLIFIERS,
        usual=(
            Usual(gettext_noop("Channel A")),
            Usual(gettext_noop("Channel B")),
            Usual(gettext_noop("Mode"), Style.CHOICE, gettext_noop("stereo, parallel, bridged")),
        ),
        cautions=(LOAD_CAUTION, MAINS_CAUTION),
        figures=("output_power", "input_impedance", "mains_power"),
        needs_sound=True,
        drives_loudspeakers=True,
    ),
    Gear(
        key="modeller",
        label=gettext_noop("amp modeller"),
        icon="cpu",
        family=Family.AMPLIFIERS,
        usual=(
            _PROGRAM,
            *_words(gettext_noop("Amplifier"), gettext_noop("Cabinet")),
            *_AMP,
            _SUPPLY,
        ),
        cautions=(MAINS_CAUTION,),
        figures=("input_impedance", "mains_power"),
        needs_sound=True,
        holds_scenes=True,
        takes_midi=True,
    ),
    Gear(
        key="load_box",
        label=gettext_noop("load box or attenuator"),
        icon="flame",
        family=Family.AMPLIFIERS,
        usual=(
            _value(gettext_noop("Attenuation"), "dB"),
            Usual(gettext_noop("Impedance"), Style.CHOICE, "4 Ω, 8 Ω, 16 Ω"),
            _value(gettext_noop("Line output"), "dB"),
        ),
        cautions=(LOAD_BOX_CAUTION, VALVE_CAUTION),
        figures=("speaker_impedance", "power_handling"),
        needs_sound=True,
        bears_speaker_power=Has.YES,
        hides_load=True,
    ),
    Gear(
        key="cabinet",
        label=gettext_noop("speaker cabinet"),
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
        label=gettext_noop("rotary-speaker cabinet"),
        icon="fan",
        family=Family.AMPLIFIERS,
        usual=(
            Usual(gettext_noop("Speed"), Style.SWITCH, gettext_noop("slow, stop, fast")),
            Usual(gettext_noop("Volume")),
        ),
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
        label=gettext_noop("drum"),
        icon="drum",
        family=Family.DRUMS,
        called=("kick", "snare", "tom", "toms"),
        usual=_words(
            gettext_noop("Pitch"),
            gettext_noop("Muffling"),
            gettext_noop("Resonant head"),
            gettext_noop("Snares"),
        ),
        figures=("diameter", "shell_depth", "pair_tolerance"),
        acoustic=True,
        of_a_kit=True,
        drum_heads=True,
    ),
    Gear(
        key="cymbal",
        label=gettext_noop("cymbal"),
        icon="disc-2",
        family=Family.DRUMS,
        called=("hat", "hats", "hi-hat", "hi hat", "ride", "crash", "splash", "china"),
        usual=(_value(gettext_noop("Height"), "cm"), *_words(gettext_noop("Tilt"))),
        figures=("diameter", "pair_tolerance"),
        acoustic=True,
        of_a_kit=True,
    ),
    Gear(
        key="percussion",
        label=gettext_noop("percussion instrument"),
        icon="drumstick",
        family=Family.DRUMS,
        usual=_words(gettext_noop("Pitch"), gettext_noop("Muffling")),
        figures=("pair_tolerance",),
        acoustic=True,
    ),
)

_KEYS = (
    Gear(
        key="keyboard",
        label=gettext_noop("keyboard"),
        icon="piano",
        family=Family.KEYS,
        usual=(
            Usual(gettext_noop("Volume")),
            _PROGRAM,
            *_words(gettext_noop("Split")),
            _value(gettext_noop("Transpose"), gettext_noop("semitones")),
        ),
        figures=("pair_tolerance", "mains_power"),
        holds_scenes=True,
        takes_midi=True,
    ),
    Gear(
        key="organ",
        label=gettext_noop("organ"),
        icon="keyboard-music",
        family=Family.KEYS,
        usual=(
            *_words(
                gettext_noop("Upper drawbars"),
                gettext_noop("Lower drawbars"),
                gettext_noop("Pedal drawbars"),
                gettext_noop("Vibrato"),
                gettext_noop("Percussion"),
            ),
            Usual(gettext_noop("Volume")),
        ),
        figures=("mains_power",),
    ),
    Gear(
        key="synth",
        label=gettext_noop("synthesiser"),
        icon="piano",
        family=Family.KEYS,
        usual=(
            _PROGRAM,
            Usual(gettext_noop("Volume")),
            Usual(gettext_noop("Cutoff")),
            Usual(gettext_noop("Resonance")),
            Usual(gettext_noop("Attack")),
            Usual(gettext_noop("Decay")),
            Usual(gettext_noop("Sustain")),
            Usual(gettext_noop("Release")),
        ),
        figures=("mains_power",),
        holds_scenes=True,
        takes_midi=True,
    ),
    Gear(
        key="sampler",
        label=gettext_noop("sampler or pads"),
        icon="grid-3x3",
        family=Family.KEYS,
        usual=(_PROGRAM, Usual(gettext_noop("Volume")), _value(gettext_noop("Sensitivity"), "%")),
        holds_scenes=True,
        takes_midi=True,
    ),
    Gear(
        key="playback",
        label=gettext_noop("playback computer"),
        icon="laptop",
        family=Family.KEYS,
        usual=(
            _value(gettext_noop("Output"), "dB"),
            _value(CLICK, "dB"),
            _value(gettext_noop("Sample rate"), "kHz"),
            _value(gettext_noop("Buffer"), gettext_noop("samples")),
        ),
        figures=("mains_power",),
        plays_back=True,
        takes_midi=True,
    ),
    # Passes what one of two machines plays; the other runs along.
    Gear(
        key="playback_switch",
        label=gettext_noop("playback changeover"),
        icon="arrow-right-left",
        family=Family.KEYS,
        usual=(
            Usual(gettext_noop("In use"), Style.SWITCH, "A, B"),
            Usual(gettext_noop("Changes over"), Style.CHOICE, gettext_noop("by itself, by hand")),
        ),
        figures=("mains_power",),
        needs_sound=True,
        line_out=True,
    ),
)

_ROUTING = (
    Gear(
        key="wireless",
        label=gettext_noop("wireless receiver"),
        icon="radio",
        family=Family.ROUTING,
        called=("radio",),
        usual=(
            _value(FREQUENCY, MHZ),
            _value(gettext_noop("Output"), "dB"),
            *_words(CHANNEL),
            _value(gettext_noop("Transmitter gain"), "dB"),
        ),
        figures=("input_impedance",),
        receives_radio=True,
    ),
    Gear(
        key="in_ear",
        label=gettext_noop("in-ear receiver"),
        icon="headphones",
        family=Family.ROUTING,
        usual=(
            _value(FREQUENCY, MHZ),
            Usual(gettext_noop("Volume")),
            Usual(gettext_noop("Limiter"), Style.SWITCH, gettext_noop("off, on")),
        ),
        cautions=(EAR_CAUTION,),
        receives_radio=True,
        loudspeaker=True,
        in_ears=True,
    ),
    Gear(
        key="in_ear_transmitter",
        label=gettext_noop("in-ear transmitter"),
        icon="radio-tower",
        family=Family.ROUTING,
        usual=(
            _value(FREQUENCY, MHZ),
            *_words(CHANNEL),
            _value(gettext_noop("Input"), "dB"),
            Usual(gettext_noop("Mode"), Style.CHOICE, gettext_noop("mono, stereo")),
            _value(gettext_noop("Transmitter power"), "mW"),
        ),
        cautions=(EAR_CAUTION, RADIO_CAUTION),
        figures=("input_impedance", "mains_power"),
        needs_sound=True,
        may_end=True,
    ),
    Gear(
        key="switcher",
        label=gettext_noop("switcher or splitter"),
        icon="split",
        family=Family.ROUTING,
        called=("splitter",),
        usual=_words(gettext_noop("Route")),
        needs_sound=True,
        bears_speaker_power=Has.PERHAPS,
        holds_scenes=True,
    ),
    Gear(
        key="controller",
        label=gettext_noop("MIDI or loop controller"),
        icon="workflow",
        family=Family.ROUTING,
        usual=(
            _PROGRAM,
            *_words(gettext_noop("Bank"), gettext_noop("Loops")),
            Usual(gettext_noop("MIDI channel"), Style.VALUE, taken=False),
            _SUPPLY,
        ),
        may_end=True,
        holds_scenes=True,
        takes_midi=True,
    ),
    Gear(
        key="power",
        label=gettext_noop("power supply"),
        icon="plug",
        family=Family.ROUTING,
        called=("supply",),
        usual=_words(
            gettext_noop("Outlet 1"),
            gettext_noop("Outlet 2"),
            gettext_noop("Outlet 3"),
            gettext_noop("Outlet 4"),
        ),
        cautions=(SUPPLY_CAUTION, MAINS_CAUTION),
        figures=("mains_power",),
        carries_sound=False,
        supplies_power=True,
    ),
    Gear(
        key="other",
        label=gettext_noop("other"),
        icon="box",
        family=Family.ROUTING,
        may_end=True,
        bears_speaker_power=Has.PERHAPS,
    ),
)

KINDS = (*_INSTRUMENTS, *_EFFECTS, *_AMPLIFIERS, *_DRUMS, *_KEYS, *_ROUTING)
