"""What a cable usually is. Levels: common practice, no source; a speaker output leads nowhere by an
instrument lead, as every maker's manual of an amplifier says."""

from __future__ import annotations

import pytest

from rigs.cables.usual import usual_cable
from rigs.gear import GEAR, Has


@pytest.mark.parametrize(
    ("source", "target", "socket", "key"),
    [
        ("guitar", "wireless", "", "radio"),
        ("wireless", "switcher", "", "patch"),
        ("guitar", "tuner", "", "lead"),
        ("pedal", "delay", "", "patch"),
        ("switcher", "valve_head", "", "lead"),
        ("valve_head", "cabinet", "", "speaker"),
        ("combo", "cabinet", "", "speaker"),
        ("other", "cabinet", "", "speaker"),
        ("load_box", "cabinet", "", "speaker"),
        ("valve_head", "load_box", "", "speaker"),
        ("valve_head", "switcher", "", "speaker"),
        ("valve_head", "switcher", "send", "line"),
        ("valve_head", "delay", "send", "line"),
        ("pedal", "modeller", "speaker out", "speaker"),
        ("preamp", "power_amp", "", "line"),
        ("organ", "rotary", "", "line"),
        ("valve_head", "rotary", "", "speaker"),
        ("voice", "preamp", "", "mic"),
        ("power", "pedal", "Outlet 1", "supply"),
        ("controller", "switcher", "MIDI out", "control"),
        ("playback", "modeller", "USB", "digital"),
        ("in_ear_transmitter", "in_ear", "", "radio"),
        ("rack", "switcher", "", "line_patch"),
    ],
)
def test_what_usually_leads_there(source: str, target: str, socket: str, key: str) -> None:
    assert usual_cable(GEAR[source], GEAR[target], socket).key == key


@pytest.mark.parametrize("cabinet", [gear for gear in GEAR.values() if gear.loudspeaker])
@pytest.mark.parametrize("amplifier", [gear for gear in GEAR.values() if gear.drives_loudspeakers])
def test_no_instrument_lead_between_amplifier_and_cabinet(amplifier, cabinet) -> None:  # type: ignore[no-untyped-def]
    if cabinet.bears_speaker_power is Has.YES:
        for socket in ("", "out", "send", "lower left"):
            assert usual_cable(amplifier, cabinet, socket).carries == "speaker"
