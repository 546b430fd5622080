"""Where pointers point on a drawn panel. How well in general: tests/bench/knobs/pointers."""

from __future__ import annotations

import pytest

from rigs.knob_check.pointing import pointing
from tests.rigs.knob_check.pictures import BEFORE, WITHOUT, circles, photo


@pytest.mark.parametrize("kind", ["line", "pointer", "dot"])
def test_a_pointer_is_read_where_it_was_drawn(kind: str) -> None:
    drawn = photo(turns=BEFORE, kinds=(kind,) * 4)
    told = [pointing(drawn.jpeg, cap) for cap in circles(drawn)]
    assert told == pytest.approx(list(BEFORE), abs=4.0)


@pytest.mark.parametrize("kinds", [WITHOUT, ("slot",) * 4, ("trimmer with an arrow",) * 4])
def test_what_points_both_ways_or_nowhere_is_not_told(kinds: tuple[str, ...]) -> None:
    drawn = photo(turns=BEFORE, kinds=kinds)
    assert [pointing(drawn.jpeg, cap) for cap in circles(drawn)] == [None] * 4
