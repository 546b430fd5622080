"""Rules of a stage: each fires, stays silent at its boundary, and says what it lacks."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from rigs.checks.findings import Finding, Severity
from rigs.checks.run import stage_findings
from rigs.checks.stage import (
    Stage,
    StageDevice,
    StageInput,
    StageLine,
    StageRadio,
    StageRig,
    StageUnit,
    Way,
)
from rigs.radio import OnAir

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
        [
            entry(1),
            entry(2, units=frozenset({"snare"}), line="Box A 2"),
            entry(3, units=frozenset({"snare"}), line="box a  2"),
        ],
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


def line(*ways: tuple[str, int], **more: Any) -> StageLine:
    """One that passes `ways` and lands."""
    passed = tuple(Way(box, number) for box, number in ways)
    names = tuple(f"{box} {number}" for box, number in ways)
    return StageLine(passed, names, **{"lands": True, **more})


def test_one_way_stands_for_two_inputs_also_over_a_sub_snake() -> None:
    over = entry(1, device="di", patch=line(("D", 1), ("A", 9)))
    (finding,) = found("way_twice", inputs=(over, entry(2, patch=line(("A", 9)))))
    assert finding.severity == Severity.CAUTION
    assert finding.title == "A 9 is given to Tom 1 (Ines Halloran) and Tom 2 (Ines Halloran)"
    assert found("way_twice", inputs=(over, entry(2, patch=line(("A", 10))))) == []


def test_one_microphone_may_feed_two_channels() -> None:
    """Common practice, no source."""
    source = {"units": frozenset({"snare"}), "patch": line(("A", 2))}
    assert found("way_twice", inputs=(entry(1, **source), entry(2, **source))) == []
    other = entry(2, **source | {"device": "other"})
    assert len(found("way_twice", inputs=(entry(1, **source), other))) == 1


def test_an_input_without_a_way_is_told_once_there_are_boxes() -> None:
    inputs = (entry(1), entry(2, patch=line(("A", 2))), entry(3))
    (finding,) = found("no_way", inputs=inputs, has_boxes=True)
    assert finding.title.startswith("2 inputs without a way: Tom 1 (Ines Halloran), Tom 3")
    assert found("no_way", inputs=inputs) == []


@pytest.mark.parametrize(("circle", "told"), [(True, "runs in a circle"), (False, "ends before")])
def test_a_line_that_does_not_reach_a_desk(circle: bool, told: str) -> None:
    loose = entry(1, patch=line(("D", 1), lands=False, circle=circle))
    (finding,) = found("no_way", inputs=(loose,), has_boxes=True)
    assert told in finding.title


# What passes which split is common practice, no source.
@pytest.mark.parametrize(
    ("phantom", "split", "direct", "given", "told"),
    [
        (True, "passive", "", "both", "both desks give phantom power"),
        (False, "passive", "", "both", "both desks give phantom power"),
        (True, "passive", "", "", "what gives phantom power not stated"),
        (True, "passive", "", "split", "that split gives no phantom power"),
        (True, "none", "", "split", "that split gives no phantom power"),
        (True, "transformer", "foh", "monitor", "from the monitor desk does not pass"),
        (True, "transformer", "monitor", "foh", "from the FOH desk does not pass"),
        (True, "transformer", "", "foh", "the direct side of the split not stated"),
        (True, "transformer", "foh", "split", "a transformer gives no phantom power"),
        (True, "passive", "", "foh", ""),
        (True, "passive", "", "monitor", ""),
        (True, "transformer", "foh", "foh", ""),
        (True, "transformer", "foh", "both", ""),
        (True, "active", "", "split", ""),
        (True, "active", "", "both", ""),
        (True, "", "", "", ""),
        (False, "passive", "", "", ""),
        (False, "transformer", "foh", "monitor", ""),
    ],
)
def test_phantom_power_over_a_split(
    phantom: bool, split: str, direct: str, given: str, told: str
) -> None:
    patched = line(("A", 1), split=split, direct=direct, phantom_from=given)
    titles = [
        each.title
        for each in found("split_phantom", inputs=(entry(1, phantom=phantom, patch=patched),))
    ]
    assert len(titles) == bool(told)
    assert all(told in title for title in titles)


def radio(number: int, mhz: str, khz: str = "", **more: Any) -> StageRadio:
    width = Decimal(khz) / 1000 if khz else None
    on = OnAir("", Decimal(mhz), width)
    return StageRadio(f"radio-{number}", f"Pack {number}", "Ines Halloran", on, **more)


@pytest.mark.parametrize(
    ("radios", "severity"),
    [
        ([radio(1, "863.1"), radio(2, "863.10")], Severity.CAUTION),
        # Two channels of 200 kHz (ETSI EN 300 422-1, from memory) begin to touch at 200 kHz.
        ([radio(1, "863.1"), radio(2, "863.299")], Severity.LOOK),
        ([radio(1, "863.1"), radio(2, "863.3")], None),
        # Wider ones need more; one of 600 and one of 200 kHz half of each.
        ([radio(1, "863.1", "600"), radio(2, "863.499")], Severity.LOOK),
        ([radio(1, "863.1", "600"), radio(2, "863.5")], None),
        # A transmitter with the packs that listen to it.
        (
            [
                radio(1, "863.1", linked=frozenset({"radio-2", "radio-3"})),
                radio(2, "863.1", linked=frozenset({"radio-1"})),
                radio(3, "863.1", linked=frozenset({"radio-1"})),
            ],
            None,
        ),
    ],
    ids=["one", "near", "beside", "wide and near", "wide and beside", "one path"],
)
def test_two_units_on_one_frequency(radios: list[StageRadio], severity: Severity | None) -> None:
    told = found("one_frequency", radios=tuple(radios))
    assert [each.severity for each in told] == ([severity] if severity else [])


def test_a_channel_without_a_frequency_says_nothing() -> None:
    bare = replace(radio(1, "863.1"), radio=OnAir("G1 ch 2"))
    assert not found("one_frequency", radios=(bare, replace(bare, id="radio-2")))
