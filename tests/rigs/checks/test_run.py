"""All rules on any rig: none throws, what fails is said, and the gravest comes first."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigs.checks.bench import Bench, BenchDevice, BenchUnit
from rigs.checks.build import build
from rigs.checks.findings import Finding, Rule, Severity
from rigs.checks.rules.phantom_on_ribbon import RULE
from rigs.checks.run import findings
from rigs.drawing.plots import draw
from rigs.facts import FACTS
from rigs.gear import GEAR
from tests.rigs.checks.laying import RIBBON, bench, entry, unit

UNITS = st.sampled_from(["unit-0", "unit-1", "unit-2", "gone"])
NUMBERS = st.one_of(
    st.none(),
    st.sampled_from(["0", "0.001", "0.1", "1", "8", "100", "1e6", "-1", "nan", "x"]),
    st.decimals(-1000, 1000, places=3, allow_nan=False).map(str),
    st.booleans(),
)
WORDS = st.one_of(
    st.text(max_size=8),
    st.sampled_from(["OH left", "OH right", "Snare top", "Snare bottom", "delay 3 ms", "series"]),
)
# No unit is without a name.
NAMES = WORDS.filter(bool)
SHAPES: dict[str, dict[str, st.SearchStrategy[Any]]] = {
    "unit": {
        "name": NAMES,
        "gear": st.sampled_from(["guitar", "valve_head", "cabinet", *GEAR]),
        "tuning": st.sampled_from(["", "E2 A2", "C-1", "G9", "drop", "guitar drop C"]),
    },
    "control": {
        "unit": UNITS,
        "name": st.sampled_from(["Speaker tap", "Strings"]),
        "setting": st.sampled_from(["0 Ω", "8 Ω", "46w 10", "0", ".010 .013", "99999999"]),
    },
    "fact": {"unit": UNITS, "key": st.sampled_from([*FACTS]), "value": NUMBERS},
    "link": {
        "source": UNITS,
        "target": UNITS,
        "length_m": NUMBERS,
        "cable": WORDS,
        "carries": st.sampled_from(["instrument", "speaker", "control"]),
    },
    "input": {
        "name": WORDS,
        "unit": UNITS,
        "device": st.sampled_from(["mic", "ribbon", "di", "gone"]),
        "reference_point": st.sampled_from(["", "snare", "Snare"]),
        "distance_m": NUMBERS,
        "height_m": NUMBERS,
        "offset_m": NUMBERS,
        "pad_db": st.sampled_from(["0", "-20", None]),
        "gain_db": NUMBERS,
        "high_pass_hz": NUMBERS,
        "low_pass_hz": NUMBERS,
        "notes": WORDS,
        "phantom": st.booleans(),
        "reversed_polarity": st.booleans(),
    },
}
MOST = {"unit": 3, "control": 2, "fact": 6, "link": 3, "input": 3}
# Full figures for an amplifier, a cabinet and a pickup, so that the rules behind them are reached.
FULL = {key: str(max(fact.low, min(fact.high, 8 * fact.per_shown))) for key, fact in FACTS.items()}


@st.composite
def snapshots(draw: Any) -> dict[str, dict[str, Any]]:
    """Up to three units wired anyhow, with figures and inputs that may contradict each other."""
    parts: dict[str, dict[str, Any]] = {}
    for kind, shape in SHAPES.items():
        made = draw(st.lists(st.fixed_dictionaries(shape), max_size=MOST[kind]))
        parts |= {f"{kind}-{n}": {"kind": kind, **fields} for n, fields in enumerate(made)}
    for unit_id in draw(st.sets(UNITS)):
        for key, figure in FULL.items():
            fact = {"kind": "fact", "unit": unit_id, "key": key, "value": figure}
            parts.setdefault(f"{unit_id}-{key}", fact)
    return parts


DEVICES = {
    "mic": BenchDevice("mic", "Mic", "mic", "dynamic", False, 0.002, 150.0),
    "ribbon": RIBBON,
    "di": BenchDevice("di", "DI", "di", "di_passive", impedance=47e3),
}


@given(snapshots(), st.one_of(st.none(), st.floats()))
def test_no_rule_fails_on_any_rig_and_every_picture_can_be_drawn(
    snapshot: dict[str, dict[str, Any]], celsius: float | None
) -> None:
    laid = build("rig", snapshot, DEVICES, celsius)
    found = findings(laid)
    assert [f.title for f in found if f.severity == Severity.UNABLE] == []
    assert all(set(f.parts) <= set(snapshot) for f in found)
    assert [f.signature for f in found] == [f.signature for f in findings(laid)]
    for finding in found:
        assert finding.title
        assert finding.why
        assert finding.mend
        assert all(figure.shown for figure in finding.figures)
        if finding.picture:
            draw(finding.picture)


def test_what_nothing_tells_apart_is_found_once() -> None:
    twelve = BenchUnit("g", "G", "guitar", "B3 B3", {"scale_length": 0.6477}, {"Strings": "10 10"})
    found = findings(bench(twelve))
    assert [f.title for f in found if f.severity == Severity.LOOK] == ["G: the B3 string is slack"]


def test_an_empty_rig_has_no_findings() -> None:
    assert findings(build("rig", {}, {})) == []


def _fails(_: Bench) -> Iterator[Finding]:
    raise ZeroDivisionError


def test_a_rule_that_fails_is_said_and_stops_no_other(caplog: pytest.LogCaptureFixture) -> None:
    with caplog.at_level(logging.ERROR):
        found = findings(bench(_hot_ribbon()), [Rule("broken", "Is it?", _fails), RULE])
    assert [f.severity for f in found] == [Severity.CAUTION, Severity.UNABLE]
    assert found[1].title == "Could not be checked: Is it?"
    assert "The check “broken” failed on rig rig" in caplog.text


def _hot_ribbon() -> Any:
    return entry("Edge", unit("Amp", spl_at_mic=100.0), RIBBON, phantom=True)


def test_what_cannot_be_measured_comes_after_what_was_found() -> None:
    assert [f.severity for f in findings(bench(_hot_ribbon()))] == [
        Severity.CAUTION,
        Severity.NOT_MEASURED,
        Severity.NOT_MEASURED,
    ]
