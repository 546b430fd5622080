"""Playback machines, their click, and MIDI of songs.

That a click stays off the house, and that both machines hold one session: common practice, no
source. Channel mode messages: MIDI 1.0 Detailed Specification.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from rigs.changes.edits import Set
from rigs.checks.bench import BenchMessage
from rigs.checks.build import build
from rigs.checks.findings import Severity
from rigs.checks.rules import click_to_house, machines_alike, midi_messages
from tests.rigs.checks.laying import DI, bench, cable, entry, found, missing, only, unit

A = replace(unit("A", "playback"), machine="A", session="Autumn set, version 7")
B = replace(A, id="B", name="B", machine="B")
KEYS = unit("Keys", "synth")
# Of the specification, table III.
MODES = {
    120: "all sound off",
    121: "reset all controllers",
    122: "local control",
    123: "all notes off",
    124: "omni mode off",
    125: "omni mode on",
    126: "mono mode on",
    127: "poly mode on",
}


@pytest.mark.parametrize("carries", ["click", "spoken", "timecode"])
def test_a_click_that_may_reach_the_house(carries: str) -> None:
    finding = only(click_to_house.check, entry("Click", A, DI, carries=carries))
    assert finding.severity == Severity.LOOK
    assert finding.edits == (Set("Click", "input", {"monitors_only": True}),)


def test_a_click_kept_back_is_no_finding_nor_is_a_track() -> None:
    click = entry("Click", A, DI, carries="click", monitors_only=True)
    assert found(click_to_house.check, click, entry("Tracks", A, DI, carries="tracks")) == []


def test_a_click_that_comes_out_of_no_input_is_asked_about() -> None:
    clicking = replace(A, settings={"Click": "-12"})
    assert missing(only(click_to_house.check, clicking)) == "which input carries its click"
    # Through what stands between them, too.
    switch = unit("Changeover", "playback_switch")
    click = entry("Click", switch, DI, carries="click", monitors_only=True)
    parts = (clicking, switch, cable("A", "Changeover", "line"), click)
    assert found(click_to_house.check, *parts) == []
    assert found(click_to_house.check, replace(A, settings={"Click": ""})) == []


def test_machines_with_other_sessions() -> None:
    old = replace(B, session="Autumn set, version 6")
    finding = only(machines_alike.check, A, old)
    assert finding.severity == Severity.LOOK
    assert "version 7" in finding.title
    assert "version 6" in finding.title


@pytest.mark.parametrize("session", [A.session, "autumn  set, VERSION 7"])
def test_machines_that_are_alike_are_no_finding(session: str) -> None:
    assert found(machines_alike.check, A, replace(B, session=session)) == []


def test_machines_of_which_a_session_is_not_stated() -> None:
    assert missing(only(machines_alike.check, A, replace(B, session=""))) == "the session loaded"


def test_a_letter_twice_and_a_machine_alone() -> None:
    assert "both machine A" in only(machines_alike.check, A, replace(B, machine="A")).title
    assert "no other is there" in only(machines_alike.check, A).title
    assert found(machines_alike.check, replace(A, machine="", session="")) == []


@pytest.mark.parametrize("controller", [0, 7, 119, *MODES])
def test_control_numbers_that_act_on_the_whole_channel(controller: int) -> None:
    message = BenchMessage("m", "Keys", "Alder Ebb", "", controller)
    laid = replace(bench(KEYS), messages=(message,))
    titles = [finding.title for finding in midi_messages.check(laid)]
    assert len(titles) == (controller in MODES)
    assert all(MODES[controller] in title for title in titles)


def test_a_message_without_a_channel_is_asked_about_once() -> None:
    songs = ("Alder Ebb", "Ninety Lamps")
    sent = tuple(BenchMessage(s, "Keys", s, "", None, has_channel=False) for s in songs)
    (finding,) = midi_messages.check(replace(bench(KEYS), messages=sent))
    assert missing(finding) == "its MIDI channel"
    assert "“Alder Ebb”, “Ninety Lamps”" in finding.title


def test_they_are_laid_out_from_a_state() -> None:
    state = {
        "k": {"kind": "unit", "name": "Keys", "gear": "synth", "machine": "A", "session": "v1"},
        "i": {"kind": "input", "name": "Click", "carries": "click", "monitors_only": True},
        "m": {"kind": "song_setting", "what": "midi", "unit": "k", "song": "s", "controller": 120},
        "gone": {"kind": "song_setting", "what": "midi", "unit": "x", "song": "s", "program": 1},
    }
    laid = build("rig", state, {})
    assert (laid.units["k"].machine, laid.units["k"].session) == ("A", "v1")
    assert (laid.inputs[0].carries, laid.inputs[0].monitors_only) == ("click", True)
    (message,) = laid.messages
    assert (message.id, message.controller, message.has_channel) == ("m", 120, False)
