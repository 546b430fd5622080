"""Plans of two people brought together, and what is said of a change."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.durations import format_minutes, parse_minutes
from rigs.changeover.state import SET, STRIKE, Plan, Step, in_parts, in_words, merge, problems


def plan(ids: str, there: int | None = None, **changed: dict[str, Any]) -> Plan:
    """Capital letters go off, small ones come on."""
    steps = (
        replace(Step(i, STRIKE if i.isupper() else SET, words=f"Step {i}"), **changed.get(i, {}))
        for i in ids
    )
    return Plan(tuple(steps), there)


def test_what_two_wrote_on_different_steps_is_kept_of_both() -> None:
    merged = merge(plan("Aab"), plan("Aab", a={"who": "Bo"}), plan("Aba", b={"planned_s": 60}))
    assert merged.is_decided
    assert merged.state.ids == ["A", "b", "a"]
    assert (merged.state.by_id["a"].who, merged.state.by_id["b"].planned_s) == ("Bo", 60)


def test_two_names_for_one_step_are_asked_about() -> None:
    three = (plan("a"), plan("a", a={"who": "Bo"}), plan("a", a={"who": "Cy"}))
    assert [(c.key, c.mine, c.now) for c in merge(*three).clashes] == [("a:who", "Bo", "Cy")]
    assert merge(*three, decided={"a:who": "typed"}).state.by_id["a"].who == "Bo"


def test_two_times_there_are_are_asked_about() -> None:
    merged = merge(plan("a", 1200), plan("a", 900), plan("a", 600))
    assert [clash.key for clash in merged.clashes] == ["there"]
    assert merge(plan("a", 1200), plan("a", 1200), plan("a", 600)).state.there_s == 600


parts = st.lists(st.sampled_from("ABCabc"), unique=True)


@given(parts, parts, parts, st.sampled_from(["typed", "now", "both"]))
def test_strike_stays_before_set_whatever_two_people_do(
    base: list[str], mine: list[str], now: list[str], answer: str
) -> None:
    three = [Plan(in_parts(plan("".join(each)).steps)) for each in (base, mine, now)]
    found = merge(*three, decided={"order": answer}).state.steps
    assert [step.part for step in found] == sorted((s.part for s in found), reverse=True)
    assert len({step.id for step in found}) == len(found)
    assert (set(mine) | set(now)) - set(base) <= {step.id for step in found}


def test_what_changed_is_said() -> None:
    names = {"user:1": "Ana"}
    was = plan("Aab", 1200)
    now = plan("Aba", 900, a={"who": "user:1", "side_by_side": False})
    assert in_words(was, now, names) == [
        "“Step b” moved to 2.",
        "“Step a”, who: Ana.",
        "“Step a”, may run beside others: no.",
        "Time there is: 15:00.",
    ]
    assert in_words(was, was, names) == []


def test_a_step_without_words_is_named() -> None:
    assert problems(plan("ab", b={"words": ""})) == {"b": "Write what is done."}


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("3", 180),
        ("2.5", 150),
        ("2,5 min", 150),
        ("2:30", 150),
        ("45 s", 45),
        ("1:00:00", 3600),
        ("２", 120),
    ],
)
def test_minutes_are_read_as_crews_write_them(text: str, seconds: int) -> None:
    assert parse_minutes(text) == seconds
    assert parse_minutes(format_minutes(seconds)) == seconds


@pytest.mark.parametrize("text", ["soon", "-3", "1500", "3:75", "²"])
def test_what_is_no_time_is_refused(text: str) -> None:
    with pytest.raises(ValueError):
        parse_minutes(text)
