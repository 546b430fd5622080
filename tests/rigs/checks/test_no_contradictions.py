"""What one finding proposes, no other proposes to undo; what was measured overrules the rest.

Every edit of every rule is applied to generated rigs, in any order, until none is left. A rig that
comes back to a state it was in before went round in a circle.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from rigs.changes.edits import Set
from rigs.checks.build import build
from rigs.checks.findings import Finding
from rigs.checks.rules.di_and_mic import check
from rigs.checks.run import findings
from rigs.models import Input
from rigs.places import Measurement
from tests.rigs.checks.laying import CONDENSER, DI, MIC, RIBBON, bench, entry, found, unit

BOTH = replace(RIBBON, id="both", needs_phantom=True)  # an entry that contradicts itself
DEVICES = {"mic": MIC, "c": CONDENSER, "di": DI, "r": RIBBON, "both": BOTH}
MOVING = {"distance_m", "device", "unit"}
NAMES = ["Top", "Bottom", "Under", "Left", "Right", "Line"]
UNITS = {
    "bass": {"kind": "unit", "name": "Bass", "gear": "bass", "tuning": "E1 A1 D2 G2"},
    "amp": {"kind": "unit", "name": "Cabinet", "gear": "cabinet"},
    "cable": {"kind": "link", "source": "bass", "target": "amp", "carries": "instrument"},
    "spl": {"kind": "fact", "unit": "amp", "key": "spl_at_mic", "value": "120"},
}
INPUT = {
    "unit": st.sampled_from(["amp", "amp", "bass"]),
    "device": st.sampled_from(["mic", "mic", "c", "di", "r", "both"]),
    "reference_point": st.sampled_from(["grille", "cone", ""]),
    "distance_m": st.sampled_from([None, "0.05", "0.3", "1", "2.5"]),
    "reversed_polarity": st.booleans(),
    "delay_ms": st.sampled_from([None, None, "0.5", "3", "900"]),
    "phantom": st.booleans(),
    "ground_lift": st.booleans(),
    "pad_db": st.sampled_from([None, "-20"]),
    "pad_at": st.sampled_from(["", "device", "preamp"]),
    "stage_position": st.sampled_from(["", "Box 3", "split to monitors"]),
    "gain_db": st.sampled_from([None, "20", "60"]),
    "high_pass_hz": st.sampled_from([None, "30", "80"]),
    "low_pass_hz": st.sampled_from([None, "200", "5000"]),
    "notes": st.sampled_from(["", "delay 3 ms", "aligned", "delay pedal, 350 ms"]),
}


@st.composite
def rigs(draw: Any) -> tuple[dict[str, dict[str, Any]], list[Measurement]]:
    """Three to six inputs on a bass and its cabinet, and measurements that may contradict."""
    names = draw(st.lists(st.sampled_from(NAMES), min_size=3, max_size=6, unique=True))
    parts: dict[str, dict[str, Any]] = {k: dict(v) for k, v in UNITS.items()}
    for name in names:
        parts[name] = {"kind": "input", "name": name, **draw(st.fixed_dictionaries(INPUT))}
    two = st.lists(st.sampled_from(names), min_size=2, max_size=2, unique=True)
    pairs = draw(st.lists(two, min_size=1, max_size=4, unique_by=frozenset))
    seconds = st.sampled_from([-0.004, 0.0, 0.0006, 0.0021])
    kept = [
        Measurement(a, b, draw(seconds), draw(st.sampled_from([1, -1])), 20.0, None, behind)
        for a, b in pairs
        for behind in [draw(st.booleans())]
    ]
    return parts, kept


def _findings(parts: dict[str, dict[str, Any]], kept: list[Measurement]) -> list[Finding]:
    return findings(build("rig", parts, DEVICES, 20.0, measured=tuple(kept)))


def _apply(
    edits: tuple[Set, ...], parts: dict[str, dict[str, Any]], kept: list[Measurement]
) -> tuple[dict[str, dict[str, Any]], list[Measurement]]:
    """As the gateway would; a microphone that was moved is no longer as it was measured."""
    after = {part: dict(fields) for part, fields in parts.items()}
    moved = set()
    for edit in edits:
        after[edit.part] |= edit.fields
        if MOVING & set(edit.fields):
            moved.add(edit.part)
    return after, [
        each._replace(moved_in=1) if moved & {each.first, each.second} else each for each in kept
    ]


@settings(max_examples=200, deadline=None)
@given(rigs(), st.randoms(use_true_random=False))
def test_doing_what_is_proposed_never_goes_round_in_a_circle(
    rig: tuple[dict[str, dict[str, Any]], list[Measurement]], chance: Any
) -> None:
    parts, kept = rig
    seen = [parts]
    for _ in range(60):
        proposed = [finding for finding in _findings(parts, kept) if finding.edits]
        if not proposed:
            return
        finding = chance.choice(proposed)
        parts, kept = _apply(finding.edits, parts, kept)
        assert parts not in seen, f"round in a circle by {finding.rule}"
        after = [f for f in _findings(parts, kept) if f.rule == finding.rule and f.edits]
        assert finding.signature not in {f.signature for f in after}, finding.rule
        seen.append(parts)
    raise AssertionError("still something to change after sixty changes")


@given(rigs())
def test_no_two_findings_want_phantom_power_both_ways(
    rig: tuple[dict[str, dict[str, Any]], list[Measurement]],
) -> None:
    """Whichever way it is switched: what one asks to switch on, no other asks to switch off."""
    wanted: dict[str, set[Any]] = {}
    parts, kept = rig
    for way in (True, False):
        turned = {
            part: {**fields, "phantom": way} if fields["kind"] == "input" else fields
            for part, fields in parts.items()
        }
        for finding in _findings(turned, kept):
            for edit in finding.edits:
                if "phantom" in edit.fields:
                    wanted.setdefault(edit.part, set()).add(edit.fields["phantom"])
    assert all(len(ways) == 1 for ways in wanted.values())


@given(rigs())
def test_every_proposal_is_one_that_the_fields_take(
    rig: tuple[dict[str, dict[str, Any]], list[Measurement]],
) -> None:
    for finding in _findings(*rig):
        for edit in finding.edits:
            assert edit.part in finding.parts
            for name, value in edit.fields.items():
                Input._meta.get_field(name).clean(value, None)


CABINET = unit("Cabinet", "cabinet")


def _measured(*kept: Measurement, **mic: Any) -> list[Finding]:
    mic = {"distance": 1.0, "reference": "cone", **mic}
    laid = bench(entry("DI", CABINET, DI), entry("Mic", CABINET, **mic))
    return findings(replace(laid, measured=kept))


def test_a_measured_delay_overrules_the_tape() -> None:
    """By the tape the DI waits 2.91 ms (1 m at 343.2 m/s); 2.10 ms were measured."""
    (by_tape,) = (f for f in _measured() if f.rule == "di_and_mic")
    assert by_tape.edits[0].fields == {"delay_ms": "2.91"}
    (heard,) = (f for f in _measured(Measurement("DI", "Mic", 0.0021, 1)) if f.rule == "di_and_mic")
    assert heard.edits[0].fields == {"delay_ms": "2.10"}
    together = _measured(Measurement("DI", "Mic", 0.0, 1))
    assert "di_and_mic" not in {f.rule for f in together}


def test_a_measurement_of_another_place_overrules_nothing() -> None:
    (finding,) = (
        f for f in _measured(Measurement("DI", "Mic", 0.0, 1, moved_in=4)) if f.rule == "di_and_mic"
    )
    assert finding.edits[0].fields == {"delay_ms": "2.91"}


def test_a_measured_polarity_overrules_the_rule_of_thumb() -> None:
    drum = unit("Snare", "drum")
    both = [entry("Snare top", drum), entry("Snare bottom", drum)]
    laid = replace(bench(*both), measured=(Measurement("Snare top", "Snare bottom", 0.0, 1),))
    assert {f.rule for f in findings(bench(*both))} >= {"polarity"}
    assert "polarity" not in {f.rule for f in findings(laid)}


def test_a_di_is_delayed_to_the_latest_of_two_microphones() -> None:
    """1 and 2 m are 2.914 and 5.828 ms at 343.2 m/s, computed; all meet at the later."""
    mics = [entry(n, CABINET, reference="cone", distance=d) for n, d in (("A", 1.0), ("B", 2.0))]
    first, second = found(check, entry("DI", CABINET, DI), *mics)
    assert {e.part: e.fields["delay_ms"] for e in first.edits} == {"DI": "5.83", "A": "2.91"}
    assert {e.part: e.fields["delay_ms"] for e in second.edits} == {"DI": "5.83"}


def test_a_reversed_switch_on_a_source_that_is_upside_down_is_not_opposed() -> None:
    """Two turns are none: the lows add, and 2.1 ms later the first notch is at 238 Hz (1 / 2τ)."""
    upside_down = Measurement("DI", "Mic", 0.0021, -1)
    (finding,) = (
        f for f in _measured(upside_down, reversed_polarity=True) if f.rule == "di_and_mic"
    )
    assert "first notch is at 238 Hz" in finding.why
    assert "opposed" not in finding.why
    (before,) = (f for f in _measured(upside_down) if f.rule == "di_and_mic")
    assert "Their polarity is opposed" in before.why
