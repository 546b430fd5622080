"""Volts, polarity and current of an outlet against what is plugged into it.

Currents of one outlet add up (Kirchhoff). That wrong polarity or too many volts can destroy a
pedal: common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from rigs.checks.bench import BenchLink
from rigs.checks.findings import Severity
from rigs.checks.rules.supply import check
from rigs.checks.supplies import Polarity, Supply, read_supply
from tests.rigs.checks.laying import found, missing, only, unit, value


def supply(**outlets: str) -> Any:
    settings = {name.replace("_", " "): text for name, text in outlets.items()}
    return replace(unit("Brick", "power"), settings=settings)


def pedal(name: str, wants: str) -> Any:
    return replace(unit(name, "pedal"), settings={"Supply": wants} if wants else {})


def fed(name: str, outlet: str) -> BenchLink:
    return BenchLink(f"Brick-{name}", "Brick", name, "power", from_socket=outlet)


@pytest.mark.parametrize(
    ("words", "meant"),
    [
        ("9 V, centre negative, 300 mA", Supply(9.0, Polarity.NEGATIVE, 0.3)),
        ("9V DC center-negative 35mA", Supply(9.0, Polarity.NEGATIVE, 0.035)),
        ("18 V centre positive 1,5 A", Supply(18.0, Polarity.POSITIVE, 1.5)),
        ("12 V AC, 1 A", Supply(12.0, Polarity.AC, 1.0)),
        ("9 VAC", Supply(9.0, Polarity.AC, None)),
        ("9 V", Supply(9.0, None, None)),
        ("the usual", Supply(None, None, None)),
    ],
)
def test_supplies_are_read_as_they_are_printed(words: str, meant: Supply) -> None:
    assert read_supply(words) == meant


def test_what_fits_is_no_finding() -> None:
    parts = (supply(Outlet_1="9 V, centre negative, 300 mA"), fed("Fuzz", "Outlet 1"))
    assert found(check, *parts, pedal("Fuzz", "9 V, centre negative, 35 mA")) == []


@pytest.mark.parametrize(
    ("wants", "title", "severity"),
    [
        (
            "9 V, centre positive, 35 mA",
            "Fuzz: Outlet 1 of Brick is centre negative, it wants centre positive",
            Severity.CAUTION,
        ),
        (
            "9 V AC, 35 mA",
            "Fuzz: Outlet 1 of Brick is centre negative, it wants AC",
            Severity.CAUTION,
        ),
        (
            "5 V, centre negative, 35 mA",
            "Fuzz: Outlet 1 of Brick gives 9 V, it wants 5 V",
            "caution",
        ),
        (
            "18 V, centre negative, 35 mA",
            "Fuzz: Outlet 1 of Brick gives 9 V, it wants 18 V",
            "look",
        ),
    ],
)
def test_what_does_not_fit_is_said(wants: str, title: str, severity: str) -> None:
    parts = (supply(Outlet_1="9 V, centre negative, 300 mA"), fed("Fuzz", "1"))
    finding = only(check, *parts, pedal("Fuzz", wants))
    assert (finding.title, finding.severity) == (title, severity)
    assert "maker" in finding.mend


@pytest.mark.parametrize(("outlet", "fits"), [("9.9 V", True), ("10 V", False), ("8.1 V", True)])
def test_a_tenth_of_the_volts_either_way_is_within(outlet: str, fits: bool) -> None:
    parts = (supply(Outlet_1=f"{outlet}, centre negative, 300 mA"), fed("Fuzz", "Outlet 1"))
    assert (found(check, *parts, pedal("Fuzz", "9 V, centre negative, 35 mA")) == []) is fits


def test_currents_of_one_outlet_add_up() -> None:
    parts = [supply(Outlet_1="9 V, centre negative, 100 mA")]
    for name in ("One", "Two", "Three"):
        parts += [pedal(name, "9 V, centre negative, 40 mA"), fed(name, "Outlet 1")]
    finding = only(check, *parts)
    assert finding.title == "Brick: Outlet 1 gives 100 mA, what is plugged in takes 120 mA"
    assert value(finding, "taken") == 120.0
    assert finding.parts == ("Brick", "One", "Two", "Three")


def test_what_is_not_stated_is_said() -> None:
    whole = supply(Outlet_1="9 V, centre negative, 100 mA")
    finding = only(check, whole, pedal("Fuzz", ""), fed("Fuzz", "Outlet 1"))
    assert (
        missing(finding) == "what Fuzz wants: volts, polarity, current (a control named “Supply”)"
    )
    finding = only(check, whole, pedal("Fuzz", "9 V, centre negative, 35 mA"), fed("Fuzz", ""))
    assert missing(finding) == "which outlet of Brick feeds Fuzz"
    bare = supply(Outlet_1="")
    finding = only(check, bare, pedal("Fuzz", "9 V, centre negative, 35 mA"), fed("Fuzz", "1"))
    assert missing(finding) == "Outlet 1 of Brick: volts, polarity, current"


def test_a_mains_cable_to_an_amplifier_is_no_outlet_of_a_pedal_supply() -> None:
    link = BenchLink("x", "Fuzz", "Amp", "power")
    assert found(check, unit("Fuzz", "pedal"), unit("Amp", "head"), link) == []
