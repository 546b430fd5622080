"""Circles proposed on a drawn panel. How well in general: tests/bench/knobs/proposed."""

from __future__ import annotations

import pytest

from rigs.knob_check.proposing import propose_circle
from rigs.knob_check.reading import UnreadablePicture
from tests.rigs.knob_check.pictures import BEFORE, SIZE, photo


def test_a_circle_is_proposed_over_the_cap_near_a_pin() -> None:
    drawn = photo(turns=BEFORE)
    for cap in drawn.caps:
        x, y = cap.x + 0.2 * cap.radius, cap.y - 0.15 * cap.radius
        found = propose_circle(drawn.jpeg, x / SIZE[0], y / SIZE[1])
        assert found is not None
        assert found.x * SIZE[0] == pytest.approx(cap.x, abs=0.2 * cap.radius)
        assert found.y * SIZE[1] == pytest.approx(cap.y, abs=0.2 * cap.radius)
        assert found.radius * SIZE[0] == pytest.approx(cap.radius, rel=0.12)


def test_where_no_edge_runs_round_nothing_is_proposed() -> None:
    drawn = photo(turns=BEFORE)
    assert propose_circle(drawn.jpeg, 0.5, 0.25) is None


def test_what_is_no_picture_is_refused() -> None:
    with pytest.raises(UnreadablePicture):
        propose_circle(b"no picture", 0.5, 0.5)
