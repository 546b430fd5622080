"""How long a changeover takes: by hand, and as the longest path of what waits for what."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from scipy.sparse.csgraph import bellman_ford

from rigs.changeover.state import Step
from rigs.changeover.times import times_of


def step(key: str, who: str, minutes: float | None, beside: bool = True) -> Step:
    planned = None if minutes is None else round(minutes * 60)
    return Step(key, words=key, who=who, planned_s=planned, side_by_side=beside)


def test_worked_by_hand() -> None:
    """Ana 3 then 4; Bo 5 beside them; then all wait 2; then Ana 1 beside Bo 6.

    By hand: Ana is done with both at 7, Bo at 5. All wait from 7 to 9. Then Ana to 10, Bo to 15.
    """
    found = times_of(
        [
            step("a", "Ana", 3),
            step("b", "Bo", 5),
            step("c", "Ana", 4),
            step("d", "Ana", 2, beside=False),
            step("e", "Ana", 1),
            step("f", "Bo", 6),
        ]
    )
    ends = {key: seconds // 60 for key, seconds in found.ends.items()}
    assert ends == {"a": 3, "b": 5, "c": 7, "d": 9, "e": 10, "f": 15}
    assert (found.needed_s, found.sum_s) == (15 * 60, 21 * 60)
    assert found.hands == (("Bo", 660), ("Ana", 600))
    assert found.over_s(12 * 60) == 180
    assert found.over_s(20 * 60) == -300
    assert found.over_s(None) is None


def test_nobody_named_is_one_pair_of_hands_and_what_is_not_timed_is_said() -> None:
    found = times_of([step("a", "", 2), step("b", "", 3), step("c", "Bo", None)])
    assert (found.needed_s, found.is_whole) == (300, False)
    assert times_of([]).needed_s == 0


steps = st.lists(
    st.tuples(st.sampled_from(["Ana", "Bo", "Cy", ""]), st.integers(0, 600), st.booleans()),
    max_size=9,
)


@given(steps)
def test_it_is_the_longest_path_of_what_waits_for_what(rows: list[tuple[str, int, bool]]) -> None:
    """The critical path of project planning, found by SciPy: Bellman and Ford's shortest path with
    every duration taken as negative is the longest one. Which step waits for which is written here
    pair by pair, as the rule is told, without any clock."""
    listed = [
        Step(str(at), who=who, planned_s=seconds, side_by_side=beside)
        for at, (who, seconds, beside) in enumerate(rows)
    ]
    count = len(listed)
    # Node `count` is the beginning, `count` + 1 the end; an edge costs the step it comes from.
    matrix = np.full((count + 2, count + 2), np.inf)
    matrix[count, :count] = 0
    matrix[count, count + 1] = 0
    for at, one in enumerate(listed):
        matrix[at, count + 1] = -(one.planned_s or 0)
        for later in range(at + 1, count):
            other = listed[later]
            waits = one.who == other.who or not one.side_by_side or not other.side_by_side
            if waits:
                matrix[at, later] = -(one.planned_s or 0)
    # A zero would be no edge in a sparse matrix; masked, infinity is none and zero is one.
    graph = np.ma.masked_invalid(matrix)
    from scipy.sparse.csgraph import csgraph_from_masked

    longest = -bellman_ford(csgraph_from_masked(graph), indices=count)
    found = times_of(listed)
    assert found.needed_s == longest[count + 1]
    for at, one in enumerate(listed):
        assert found.ends[one.id] == longest[at] + (one.planned_s or 0)
    assert max((seconds for _, seconds in found.hands), default=0) <= found.needed_s
    assert found.needed_s <= found.sum_s
