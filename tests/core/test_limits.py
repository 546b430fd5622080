"""A limit is reached at the limit, whichever way binary fractions round: 0.1 + 0.2 is not 0.3, and
1.1 − 1 is more than 0.1 (IEEE 754, double precision)."""

from __future__ import annotations

from dataclasses import replace

import pytest

from core.limits import at_least, at_most, is_at
from rigs.checks.paths import agree
from rigs.checks.rules import capsule_headroom
from tests.rigs.checks.laying import MIC, entry, found, unit


def test_what_rounding_moved_off_the_limit_is_at_it() -> None:
    assert 0.1 + 0.2 > 0.3
    assert is_at(0.1 + 0.2, 0.3)
    assert at_most(1.1 - 1, 0.1)
    assert at_least(0.3 - 0.1 - 0.2, 0.0)


@pytest.mark.parametrize("limit", [0.00025, 0.1, 6.0, 100.0])
def test_what_is_a_thousandth_off_is_off(limit: float) -> None:
    assert not at_most(limit * 1.001, limit)
    assert not at_least(limit * 0.999, limit)


def test_tape_and_sound_agree_at_the_very_limit() -> None:
    """0.7 and 0.8 ms are 0.1 ms apart, which is what is allowed."""
    assert 0.0008 - 0.0007 > 0.0001
    assert agree(0.0008, 0.0007)
    assert not agree(0.00081, 0.0007)


def test_headroom_of_the_margin_exactly_is_enough() -> None:
    """130.2 − 124.2 is a hair less than 6 in double precision."""
    assert 130.2 - 124.2 < 6
    loud = unit("Cabinet", "cabinet", spl_at_mic=124.2)
    assert found(capsule_headroom.check, entry("Mic", loud, replace(MIC, max_spl=130.2))) == []
