"""What holds after presses of several people: in any order, and with some of them twice."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from random import Random

from hypothesis import given
from hypothesis import strategies as st

from rigs.changeover.marks import DONE, OPEN, START, STOP, pressed

BEGIN = datetime(2026, 9, 4, 21, 40, tzinfo=UTC)


@dataclass(frozen=True)
class Press:
    pk: int
    what: str
    step_id: str | None
    by_name: str
    at: datetime
    arrived_at: datetime | None = None


def press(pk: int, second: int, what: str, step: str | None = None, by: str = "Ana") -> Press:
    return Press(pk, what, step, by, BEGIN + timedelta(seconds=second))


presses = st.lists(
    st.builds(
        lambda second, what, step, by: (second, what, None if what in (START, STOP) else step, by),
        st.integers(0, 20),
        st.sampled_from([DONE, OPEN, START, STOP]),
        st.sampled_from("abc"),
        st.sampled_from(["Ana", "Bo"]),
    ),
    max_size=12,
).map(lambda rows: [press(pk, *row) for pk, row in enumerate(rows)])


@given(presses, st.randoms(use_true_random=False))
def test_any_order_and_twice_give_the_same(rows: list[Press], random: Random) -> None:
    again = [*rows, *rows]
    random.shuffle(again)
    assert pressed(again) == pressed(rows)


@given(presses)
def test_a_step_is_as_its_newest_mark_says(rows: list[Press]) -> None:
    """The last writer wins, step by step: looked up here without working through the marks."""
    found = pressed(rows)
    for step in "abc":
        own = [row for row in rows if row.step_id == step]
        newest = max(own, key=lambda row: (row.at, str(row.pk)), default=None)
        assert (step in found.done) == (newest is not None and newest.what == DONE)
        assert found.last.get(step) == newest


def test_who_was_first_to_find_it_done_is_named() -> None:
    found = pressed([press(2, 9, DONE, "a", "Bo"), press(1, 5, DONE, "a", "Ana")])
    assert found.done["a"].by_name == "Ana"
    # Opened again in between, the tick after that is the one that counts.
    found = pressed([press(1, 5, DONE, "a"), press(2, 7, OPEN, "a"), press(3, 9, DONE, "a", "Bo")])
    assert found.done["a"].by_name == "Bo"


def test_the_clock_runs_from_the_first_start_and_is_started_anew() -> None:
    one = [press(1, 0, START), press(2, 3, START, by="Bo")]
    found = pressed(one)
    assert found.is_running
    assert found.started.by_name == "Ana"
    assert found.seconds(BEGIN + timedelta(minutes=5)) == 300
    found = pressed([*one, press(3, 60, STOP)])
    assert not found.is_running
    assert found.seconds(BEGIN + timedelta(hours=9)) == 60
    found = pressed([*one, press(3, 60, STOP), press(4, 90, START, by="Bo")])
    assert (found.started.by_name, found.stopped) == ("Bo", None)
    assert pressed([press(1, 0, STOP)]).started is None


def test_what_was_done_before_the_start_took_no_time_of_it() -> None:
    rows = [press(1, 0, DONE, "a"), press(2, 10, START), press(3, 75, DONE, "b")]
    found = pressed(rows)
    assert found.after_start("a") is None
    assert found.after_start("b") == 65
    assert found.after_start("c") is None
