"""Rules of a stage: each fires, stays silent at its boundary, and says what it lacks."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from rigs.checks.findings import Finding, Severity
from rigs.checks.run import stage_findings
from rigs.checks.stage import Stage, StageDevice, StageInput, StageRig, StageUnit

MIC = StageDevice("mic", "Corvane Hollow 2", owned=2)


def entry(number: int, **more: Any) -> StageInput:
    fields = {"channel": number, "device": "mic", **more}
    return StageInput(f"input-{number}", f"Tom {number}", "Ines Halloran", **fields)


def found(rule: str, **parts: Any) -> list[Finding]:
    stage = Stage("show", **parts)
    return [each for each in stage_findings(stage) if each.rule == rule]


def owned(*inputs: StageInput, device: StageDevice = MIC) -> list[Finding]:
    return found("devices_owned", inputs=inputs, devices={"mic": device})


def test_a_microphone_is_wanted_more_often_than_it_is_owned() -> None:
    (finding,) = owned(entry(1), entry(2), entry(3))
    assert finding.severity == Severity.LOOK
    assert finding.title == "Corvane Hollow 2: 1 too few for this show"
    assert [(f.label, f.shown) for f in finding.figures] == [("wanted", "3"), ("owned", "2")]
    assert "Tom 3 (Ines Halloran)" in finding.mend


@pytest.mark.parametrize(
    "inputs",
    [
        [entry(1), entry(2)],
        [entry(1), entry(2), entry(3, device="other")],
        [entry(1), entry(2), entry(3, hired=True)],
        # One microphone, split to two channels: one numbered line of one source.
        [entry(1), entry(2, unit="snare", line="Box A 2"), entry(3, unit="snare", line="box a  2")],
    ],
    ids=["as many as owned", "another device", "its own is hired", "split"],
)
def test_as_many_as_are_owned_are_enough(inputs: list[StageInput]) -> None:
    assert owned(*inputs) == []


def test_what_is_hired_counts_and_what_is_never_owned_must_be() -> None:
    three = [entry(n) for n in (1, 2, 3)]
    assert owned(*three, device=replace(MIC, hired=1)) == []
    (finding,) = owned(*three, device=replace(MIC, owned=0, hired=1))
    assert finding.title.endswith("2 too few for this show")


def test_of_what_is_used_once_nobody_has_to_say_how_many_there_are() -> None:
    unstated = replace(MIC, owned=None)
    assert owned(entry(1), device=unstated) == []
    (finding,) = owned(entry(1), entry(2), device=unstated)
    assert finding.severity == Severity.NOT_MEASURED
    assert "number owned of Corvane Hollow 2" in finding.title


def test_one_channel_stands_for_two_inputs() -> None:
    inputs = [entry(4), replace(entry(5), channel=4), entry(6), entry(7, channel=None)]
    (finding,) = found("channel_twice", inputs=(*inputs, entry(8, channel=None)))
    assert finding.title == "Channel 4 stands for Tom 4 (Ines Halloran) and Tom 5 (Ines Halloran)"
    assert finding.parts == ("input-4", "input-5")


def test_two_rigs_of_one_player_play() -> None:
    main, fly = (StageRig(name, name, "ines", "Ines Halloran") for name in ("Main", "Fly"))
    other = StageRig("keys", "Keys", "odo", "Odo Brandt")
    (finding,) = found("rigs_of_player", rigs=(main, other, fly))
    assert finding.title == "2 rigs of Ines Halloran play: Main, Fly"
    assert found("rigs_of_player", rigs=(main, other)) == []


def plugged(watts: float | None, circuit: str, name: str = "Head") -> StageUnit:
    return StageUnit(f"{name} {watts}", name, "Ines Halloran", circuit, watts)


# Source of the currents: I = P / V, worked out by hand: 1350 W / 230 V = 5.870 A and
# 1350 W / 120 V = 11.25 A (600 + 450 + 300 W).
@pytest.mark.parametrize(
    ("circuit", "current"),
    [("Left, 230 V, 5 A", "5.87 A"), ("Left, 120 V, 10 A", "11.25 A")],
)
def test_the_units_of_a_circuit_draw_more_than_it_is_labelled_with(
    circuit: str, current: str
) -> None:
    units = (plugged(600, circuit), plugged(450, "left"), plugged(300, "Left"))
    (finding,) = found("mains_circuit", units=units)
    assert finding.severity == Severity.CAUTION
    assert {f.label: f.shown for f in finding.figures}["current together"] == current
    assert "licensed electrician" in finding.mend
    assert "local code" in finding.mend


def test_a_circuit_that_bears_its_units_is_silent() -> None:
    # 1000 W at 230 V are 4.348 A, at 120 V 8.333 A (I = P / V, by hand).
    assert found("mains_circuit", units=(plugged(1000, "Left, 230 V, 4.35 A"),)) == []
    assert found("mains_circuit", units=(plugged(1000, "Left, 230 V, 4.34 A"),)) != []
    assert found("mains_circuit", units=(plugged(1000, "Left, 120 V, 8.34 A"),)) == []


def test_two_circuits_are_two() -> None:
    units = (plugged(600, "Left, 230 V, 4 A"), plugged(600, "Right, 230 V, 4 A"))
    assert found("mains_circuit", units=units) == []


def test_of_figures_that_differ_those_count_that_ask_most() -> None:
    units = (plugged(2000, "Left, 230 V, 16 A"), plugged(1000, "Left, 230 V, 10 A", "Organ"))
    (finding,) = found("mains_circuit", units=units)
    assert {f.label: f.shown for f in finding.figures}["circuit"] == "10 A"


def test_what_a_circuit_lacks_is_said() -> None:
    units = (plugged(1000, "Left"), plugged(None, "Left, 16 A", "Organ"))
    (finding,) = found("mains_circuit", units=units)
    assert finding.severity == Severity.NOT_MEASURED
    assert finding.title == (
        "Mains circuit Left: volts, mains power of Organ (Ines Halloran) not stated"
    )
