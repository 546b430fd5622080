"""Lines followed along runs: each ends at one way or is said to be loose; none meet unseen."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from scipy.sparse import csgraph

from rigs.checks.stage import Way
from rigs.checks.stage_rules.way_twice import shared_ways
from rigs.patch.landing import Boxes, BoxFacts, LineFacts, RunFacts, land, spans, spare_of

MARKS = "ABCD"
boxes_drawn = st.lists(
    st.builds(
        lambda ways, to_desk, split: (ways, to_desk, split),
        st.integers(1, 6),
        st.booleans(),
        st.sampled_from(["", "passive"]),
    ),
    min_size=1,
    max_size=4,
).map(
    lambda drawn: [
        BoxFacts(mark, mark, ways, to_desk, split)
        for mark, (ways, to_desk, split) in zip(MARKS, drawn, strict=False)
    ]
)
runs_drawn = st.lists(
    st.builds(
        RunFacts,
        st.sampled_from(MARKS),
        st.integers(1, 6),
        st.sampled_from(MARKS),
        st.integers(1, 6),
        st.integers(1, 4),
    ),
    max_size=5,
)


class Followed:
    """The runs as a matrix of which way leads to which: scipy says what is reached from where, as
    the check from outside."""

    def __init__(self, boxes: Boxes, runs: list[RunFacts]) -> None:
        self.ways = [Way(mark, number) for mark in MARKS for number in range(1, 12)]
        self.leads = np.zeros((len(self.ways), len(self.ways)), dtype=int)
        for run in runs:
            for step in range(run.ways):
                start = self.ways.index(Way(run.source, run.first + step))
                end = self.ways.index(Way(run.target, run.target_first + step))
                if boxes.has(self.ways[start]) and not self.leads[start].any():
                    self.leads[start, end] = 1

    def reached(self, start: Way) -> set[Way]:
        order = csgraph.breadth_first_order(
            self.leads, self.ways.index(start), return_predecessors=False
        )
        return {self.ways[at] for at in order}

    def is_in_circle(self, way: Way) -> bool:
        at = self.ways.index(way)
        _, parts = csgraph.connected_components(self.leads, connection="strong")
        return bool(self.leads[at, at] or (parts == parts[at]).sum() > 1)

    def leads_on(self, way: Way) -> bool:
        return bool(self.leads[self.ways.index(way)].any())


@given(boxes_drawn, runs_drawn, st.sampled_from(MARKS), st.integers(1, 6))
def test_every_line_ends_at_one_way_or_is_said_to_be_loose(
    drawn: list[BoxFacts], runs: list[RunFacts], mark: str, number: int
) -> None:
    boxes, start = Boxes(drawn, runs), Way(mark, number)
    chain = boxes.chain(start)
    assert len(set(chain.passed)) == len(chain.passed)
    if not boxes.has(start):
        assert chain == ((), False, False)
        return
    followed = Followed(boxes, runs)
    assert {way for way in followed.reached(start) if boxes.has(way)} == set(chain.passed)
    last = chain.passed[-1]
    assert chain.circle == followed.is_in_circle(last)
    ends = not followed.leads_on(last)
    assert chain.lands == (ends and boxes.by_id[last.box].to_desk)


@given(
    boxes_drawn,
    runs_drawn,
    st.lists(st.tuples(st.sampled_from(MARKS), st.integers(1, 6)), min_size=2, max_size=6),
)
def test_no_two_inputs_meet_unseen(
    drawn: list[BoxFacts], runs: list[RunFacts], plugged: list[tuple[str, int]]
) -> None:
    boxes = Boxes(drawn, runs)
    lines = {str(n): land(LineFacts(box, way), boxes) for n, (box, way) in enumerate(plugged)}
    told = shared_ways(lines)
    for way, keys in told:
        assert len(keys) > 1
        assert all(way in lines[key].passed for key in keys)
    for one in lines:
        for other in lines:
            if one < other and set(lines[one].passed) & set(lines[other].passed):
                assert any({one, other} <= set(keys) for _, keys in told)


def test_a_drum_snake_runs_into_the_main_box() -> None:
    """Common practice, no source: sub-snake ways 1–8 on the main box from way 5 on."""
    main = BoxFacts("a", "A", 16, True, "transformer", "foh", "upstage left")
    snake = BoxFacts("d", "D", 8, False, place="on the drum riser")
    boxes = Boxes([main, snake], [RunFacts("d", 1, "a", 5, 8)])
    line = land(LineFacts("d", 3, 12, "", "foh"), boxes)
    assert line.path == "D\u00a03 → A\u00a07"
    assert (line.lands, line.split, line.direct) == (True, "transformer", "foh")
    assert (line.monitor_channel, line.place) == (12, "on the drum riser")
    assert not land(LineFacts("d", 3), Boxes([main, snake], [])).lands
    assert land(LineFacts("d", 9), boxes).passed == ()
    assert spans(spare_of("a", boxes, line.passed)) == "1–4, 13–16"
    assert spare_of("d", boxes, line.passed) == [1, 2, 4, 5, 6, 7, 8]


def test_a_circle_is_said_and_ends() -> None:
    two = [BoxFacts("a", "A", 2, True), BoxFacts("b", "B", 2, True)]
    boxes = Boxes(two, [RunFacts("a", 1, "b", 1, 1), RunFacts("b", 1, "a", 1, 1)])
    line = land(LineFacts("a", 1), boxes)
    assert (line.circle, line.lands, line.path) == (True, False, "A\u00a01 → B\u00a01")


def test_spans() -> None:
    assert [spans(each) for each in ([], [3], [1, 2, 3, 5, 7, 8])] == ["", "3", "1–3, 5, 7–8"]
