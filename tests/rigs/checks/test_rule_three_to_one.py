"""3:1: common practice, no source. Twice as far is 6.0206 dB down: inverse square, computed."""

from __future__ import annotations

from typing import Any

import pytest

from rigs.checks.rules.three_to_one import check
from tests.rigs.checks.laying import entry, found, missing, only, unit, value

ONE, TWO = unit("Voice 1", "voice"), unit("Voice 2", "voice")


def mics(spacing: float | None, own: float = 0.1, **more: Any) -> list[Any]:
    shared = {"reference": "riser edge", "distance": own}
    return [
        entry("One", ONE, offset=0.0, **shared),
        entry("Two", TWO, offset=spacing, **(shared | more)),
    ]


def test_twice_as_far_is_too_close() -> None:
    finding = only(check, *mics(0.2))
    assert finding.title == "One and Two stand closer than three to one"
    assert value(finding, "needed") == pytest.approx(300.0)
    assert value(finding, "between them") == pytest.approx(200.0)
    assert value(finding, "spill below the own source") == pytest.approx(6.0206, abs=1e-3)


def test_exactly_three_times_as_far_keeps_it() -> None:
    assert found(check, *mics(0.3)) == []
    assert len(found(check, *mics(0.299))) == 1


def test_heights_count_where_both_are_stated() -> None:
    low, high = mics(0.2)[0], mics(0.2, height=0.4)[1]
    assert len(found(check, low, high)) == 1
    stated = entry("One", ONE, reference="riser edge", distance=0.1, offset=0.0, height=0.0)
    assert found(check, stated, high) == []


def test_one_offset_without_the_other_is_said() -> None:
    assert missing(only(check, *mics(None))) == "sideways offset of Two"


def test_pairs_without_any_offset_are_said_once() -> None:
    three = unit("Voice 3", "voice")
    shared = {"reference": "riser edge", "distance": 0.1}
    bare = [
        entry("One", ONE, **shared),
        entry("Two", TWO, **shared),
        entry("Three", three, **shared),
    ]
    assert missing(only(check, *bare)) == ", ".join(
        f"sideways offset of {name}" for name in ("One", "Two", "Three")
    )


def test_other_references_and_one_source_are_another_matter() -> None:
    assert found(check, *mics(0.2, reference="monitor")) == []
    assert (
        found(
            check, mics(0.2)[0], entry("B", ONE, reference="riser edge", distance=0.1, offset=0.2)
        )
        == []
    )
