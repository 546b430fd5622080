"""Tension: Mersenne, from widely republished string charts; plain steel by density +0.56 %.

Below which a string is slack: rule of thumb, no source.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from rigs.changes.edits import Snapshot
from rigs.checks.bench import BenchUnit
from rigs.checks.build import build
from rigs.checks.rules.slack_string import check
from tests.rigs.checks.laying import found, missing, only, unit, value


def guitar(tuning: str, strings: str, scale: float = 0.6477) -> BenchUnit:
    facts = {"scale_length": scale} if scale else {}
    return replace(unit("Guitar", "guitar", tuning, **facts), settings={"Strings": strings})


@pytest.mark.parametrize("written", [".010", "10", "0,010"])
def test_the_tension_is_what_charts_say_of_a_plain_ten_at_d4(written: str) -> None:
    # 57.24 N by the chart's unit weight, +0.56 % by density. At B3 it is slack.
    finding = only(check, guitar("B3", written))
    assert finding.title == "Guitar: the B3 string is slack"
    chart = 57.24 * 1.0056 * (246.942 / 293.665) ** 2
    assert value(finding, "tension of B3") == pytest.approx(chart, rel=0.001)
    assert value(finding, "slack below") == 50.0


def test_the_gauge_it_proposes_reaches_the_least_tension() -> None:
    needed = value(only(check, guitar("B3", "10")), "gauge that reaches it")
    assert found(check, guitar("B3", f"{needed + 1e-6:.7f}")) == []


def test_a_usual_string_is_no_finding() -> None:
    assert found(check, guitar("G3 B3 E4", "17 13 10")) == []


def test_wound_strings_are_said_and_plain_ones_still_checked() -> None:
    first, second = found(check, guitar("E2 B3", "46w 10"))
    assert missing(first) == "mass of the wound strings"
    assert second.title == "Guitar: the B3 string is slack"


def test_what_is_not_stated_is_said() -> None:
    assert missing(only(check, guitar("E2 A2", "46", scale=0))) == (
        "scale length, one string gauge for each string (a control named “Strings”, or a "
        "string set under what wears)"
    )


def test_an_instrument_without_a_tuning_is_left_alone() -> None:
    assert found(check, guitar("", "10")) == []


def strung(gauges: str) -> BenchUnit:
    """A guitar in B3 and E4 whose gauges are those of the set that is carried."""
    snapshot: Snapshot = {
        "u": {"kind": "unit", "name": "Guitar", "gear": "guitar", "tuning": "B3 E4"},
        "f": {"kind": "fact", "unit": "u", "key": "scale_length", "value": "0.6477"},
        "s": {"kind": "spare", "unit": "u", "sort": "string_set", "what": "set", "gauges": gauges},
    }
    return build("rig", snapshot, {}).units["u"]


def test_the_set_that_is_carried_tells_the_gauges_whichever_way_round_it_is_written() -> None:
    for written in ("8 10", "10 8", "0.2032 0.254 mm"):
        titles = [finding.title for finding in found(check, strung(written))]
        assert titles == ["Guitar: the B3 string is slack", "Guitar: the E4 string is slack"]
    assert not found(check, strung("10 14"))


def test_a_control_named_strings_goes_first() -> None:
    assert not found(check, replace(strung("8 10"), settings={"Strings": "14 10"}))
