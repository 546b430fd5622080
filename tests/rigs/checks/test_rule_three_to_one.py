"""3:1: common practice, no source. Twice as far is 6.0206 dB down: inverse square, computed."""

from __future__ import annotations

from typing import Any

import pytest

from rigs.checks.rules.three_to_one import check
from tests.rigs.checks.laying import entry, found, missing, only, unit, value

ONE, TWO, THREE = (unit(name, "drum") for name in ("Rack tom", "Floor tom", "Snare"))


def mic(name: str, on: Any, plan: tuple[float, float] | None, **more: Any) -> Any:
    return entry(name, on, plan=plan, **{"reference": "rim", "distance": 0.1, **more})


def mics(spacing: float, **more: Any) -> list[Any]:
    return [mic("One", ONE, (0.0, 0.3)), mic("Two", TWO, (spacing, 0.3), **more)]


def test_twice_as_far_is_too_close() -> None:
    finding = only(check, *mics(0.2))
    assert finding.title == "One and Two stand closer than three to one"
    assert value(finding, "needed") == pytest.approx(300.0)
    assert value(finding, "between them in plan") == pytest.approx(200.0)
    assert value(finding, "spill below the own source") == pytest.approx(6.0206, abs=1e-3)


def test_exactly_three_times_as_far_keeps_it() -> None:
    assert found(check, *mics(0.3)) == []
    assert len(found(check, *mics(0.299))) == 1


def test_both_directions_of_the_plan_count() -> None:
    # 3, 4, 5: 18 and 24 cm aside are 30 cm apart.
    assert found(check, mic("One", ONE, (0.0, 0.0)), mic("Two", TWO, (0.18, 0.24))) == []


def test_two_rims_are_two_points_and_say_nothing_of_the_spacing() -> None:
    """The same word on two drums, with offsets: 10 mm apart, if the rims were one."""
    finding = only(
        check,
        mic("One", ONE, None, offset=0.0),
        mic("Two", TWO, None, offset=0.01),
    )
    assert missing(finding) == "place of One in the plan, place of Two in the plan"
    assert finding.mend.startswith("Measure how far apart the microphones are")


def test_spacings_that_nobody_took_are_said_once() -> None:
    bare = [mic(name, on, None) for name, on in (("One", ONE), ("Two", TWO), ("Three", THREE))]
    assert missing(only(check, *bare, mic("Four", unit("Kick"), (0.0, 0.0)))) == ", ".join(
        f"place of {name} in the plan" for name in ("One", "Two", "Three")
    )


def test_a_distance_to_something_else_is_not_its_own() -> None:
    assert found(check, *mics(0.2, reference="snare centre"), THREE) == []


def test_one_source_is_another_matter() -> None:
    assert found(check, mic("One", ONE, (0.0, 0.0)), mic("Two", ONE, (0.1, 0.0))) == []
