"""What scenes switch and turn against the cables. That a loop turns no knob, and that a control
cable may: common practice, no source."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from rigs.checks.bench import Bench, BenchScene, Turned
from rigs.checks.findings import Severity
from rigs.checks.rules.scene_loops import check
from tests.rigs.checks.laying import bench, cable, missing, unit

GUITAR, DRIVE, ECHO = unit("Guitar", "guitar"), unit("Drive", "pedal"), unit("Echo", "pedal")
AMP, SWITCH = unit("Amp", "combo"), unit("Switch", "switcher")
# Guitar into the switcher, the drive in its loop, out to the amplifier; the echo behind that.
CABLES = (
    cable("Guitar", "Switch"),
    cable("Switch", "Drive"),
    cable("Drive", "Switch"),
    cable("Switch", "Amp"),
    cable("Amp", "Echo"),
)
PARTS = (GUITAR, SWITCH, DRIVE, AMP, ECHO, *CABLES)


def laid(
    *parts: Any, units: tuple[str, ...] = (), turned: str = "", holder: str = "Switch"
) -> Bench:
    controls = (Turned("c", "Mix", turned),) if turned else ()
    scene = BenchScene("s", "2 Echo", holder, units, controls)
    return replace(bench(*parts), scenes=(scene,))


def test_a_unit_on_the_loop_and_one_behind() -> None:
    assert list(check(laid(*PARTS, units=("Drive", "Amp", "Switch")))) == []
    [found] = check(laid(*PARTS, units=("Drive", "Echo")))
    assert found.severity == Severity.LOOK
    assert found.title == "Scene “2 Echo”: Echo on no loop of Switch"
    assert found.parts == ("Switch", "Echo", "s")


def test_two_units_in_one_loop() -> None:
    chain = (cable("Switch", "Drive"), cable("Drive", "Echo"), cable("Echo", "Switch"))
    assert list(check(laid(SWITCH, DRIVE, ECHO, *chain, units=("Drive", "Echo")))) == []


def test_a_loop_turns_no_knob_and_a_control_cable_does() -> None:
    [found] = check(laid(*PARTS, turned="Drive"))
    assert "no control cable leads from Switch to Drive Mix" in found.title
    led = cable("Switch", "Drive", "control")
    assert list(check(laid(*PARTS, led, turned="Drive"))) == []
    # Through another unit as well.
    through = (cable("Switch", "Amp", "control"), cable("Amp", "Echo", "control"))
    assert list(check(laid(*PARTS, *through, turned="Echo", units=("Echo",)))) == []
    assert list(check(laid(*PARTS, turned="Switch"))) == []


def test_without_cables_nothing_is_said_but_that() -> None:
    [found] = check(laid(SWITCH, DRIVE, units=("Drive",)))
    assert missing(found) == "its cables"
    assert list(check(laid(SWITCH, units=("Switch",), turned="Switch"))) == []


def test_gear_that_recalls_none() -> None:
    [found] = check(laid(*PARTS, holder="Drive"))
    assert found.title == "Drive: gear of this kind recalls no scenes"
