"""Headroom per stage: arithmetic on definitions, worked by hand."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigs.signal.headroom import Headroom, MicChain, headroom

# 20 mV/Pa gives 4.260 dBu at 130 dB SPL (closed form), so the rest can be done in the head.
FULL = MicChain(
    sensitivity=20e-3,
    gain_db=10,
    pad_db=20,
    capsule_max_spl=140,
    pad_max_dbu=24,
    preamp_max_dbu=6,
    full_scale_dbu=18,
)


def test_every_stage_by_hand() -> None:
    found = headroom(FULL, 130)
    expected = {"capsule": 10, "pad": 19.740, "preamp": 21.740, "converter": 23.740}
    assert found.stages == pytest.approx(expected, abs=0.005)
    assert found.unknown == ()
    assert found.first == "capsule"


def test_gain_makes_the_converter_clip_first() -> None:
    hot = MicChain(20e-3, gain_db=30, capsule_max_spl=140, preamp_max_dbu=24, full_scale_dbu=18)
    found = headroom(hot, 130)
    assert found.first == "converter"
    assert found.stages["converter"] == pytest.approx(-16.260, abs=0.005)


def test_unknown_limits_are_listed_not_guessed() -> None:
    found = headroom(MicChain(2e-3, pad_db=10), 100)
    assert found == Headroom({}, ("capsule", "pad", "preamp", "converter"))
    assert found.first is None


def test_without_a_pad_its_limit_is_not_missed() -> None:
    found = headroom(MicChain(2e-3, pad_max_dbu=20, preamp_max_dbu=10), 100)
    assert list(found.stages) == ["preamp"]
    assert found.unknown == ("capsule", "converter")


@given(spl=st.floats(40, 160), more=st.floats(0.1, 40))
def test_louder_leaves_less_everywhere(spl: float, more: float) -> None:
    quiet, loud = headroom(FULL, spl), headroom(FULL, spl + more)
    for stage, left in quiet.stages.items():
        assert loud.stages[stage] == pytest.approx(left - more)


def test_nonsense_is_refused() -> None:
    with pytest.raises(ValueError, match="^sensitivity must be above 0, got 0$"):
        MicChain(0)
    with pytest.raises(ValueError, match="^pad_db must be from 0 to 1000 dB, got -20$"):
        MicChain(2e-3, pad_db=-20)
    with pytest.raises(ValueError, match="^preamp_max_dbu must be from -1000 to 1000 dB, got nan$"):
        MicChain(2e-3, preamp_max_dbu=float("nan"))
    with pytest.raises(ValueError, match="^spl must be from -1000 to 1000 dB, got inf$"):
        headroom(FULL, float("inf"))
