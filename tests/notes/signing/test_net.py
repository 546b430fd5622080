"""What a stretch of history adds up to is what the diff of its two ends says (rigs.revisions.diff,
which is itself judged against a general JSON Patch library)."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from notes.signing.net import Step, net
from rigs.revisions.diff import diff
from rigs.revisions.edits import Change, Snapshot

values = st.one_of(st.none(), st.booleans(), st.integers(0, 3), st.sampled_from(["a", "b"]))
fields = st.dictionaries(st.sampled_from(["x", "y", "z"]), values.filter(lambda v: v is not None))
snapshots = st.dictionaries(
    st.sampled_from(["p", "q", "r"]), fields.map(lambda f: {"kind": "unit"} | f)
)


def _steps(states: list[Snapshot]) -> list[Step]:
    pairs = enumerate(zip(states, states[1:], strict=False), start=1)
    return [Step(n, change) for n, (a, b) in pairs for change in diff(a, b)]


@given(st.lists(snapshots, min_size=1, max_size=6))
def test_the_net_of_all_steps_is_the_diff_of_the_ends(states: list[Snapshot]) -> None:
    found = [difference.change for difference in net(_steps(states))]
    assert sorted(found, key=repr) == sorted(diff(states[0], states[-1]), key=repr)


def _turn(revision: int, old: str, new: str) -> Step:
    return Step(revision, Change("p", "control", "setting", old, new))


def test_turned_and_turned_back_is_no_difference() -> None:
    assert net([_turn(5, "2:00", "3:00"), _turn(6, "3:00", "2:00")]) == []


def test_a_difference_names_the_revisions_that_made_it() -> None:
    (found,) = net([_turn(5, "2:00", "3:00"), _turn(8, "3:00", "4:00")])
    assert found.change == Change("p", "control", "setting", "2:00", "4:00")
    assert found.revisions == (5, 8)


def test_false_is_not_nought() -> None:
    (found,) = net([Step(1, Change("p", "input", "pan", False, 0))])
    assert found.change.new == 0
