"""What another device makes doubtful: which needs phantom power is common practice, no source;
levels in dB from tables of decibels (twice the voltage is 6.02 dB, half −6.02 dB), from memory.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigs.checks.bench import BenchDevice
from rigs.swaps import Channel, Doubt, doubts

DYNAMIC = BenchDevice("d", "Hollow 2", "mic", "dynamic", sensitivity=0.002)
LOUDER = BenchDevice("l", "Sail", "mic", "ribbon", sensitivity=0.004)
CONDENSER = BenchDevice("c", "Selvage C", "mic", "condenser", True, 0.002)
UNKNOWN = BenchDevice("u", "Third", "mic", "dynamic")
DI = BenchDevice("b", "Plain DI", "di", "di_passive", impedance=1e5)
ON = Channel(True, 0.0, 30.0)
OFF = Channel(False, 0.0, 30.0)


def asked(*args: Any) -> dict[str, Doubt]:
    return {doubt.field: doubt for doubt in doubts(*args)}


@pytest.mark.parametrize(
    ("after", "there", "safe"),
    [(DYNAMIC, ON, False), (LOUDER, ON, False), (None, ON, False), (CONDENSER, OFF, True)],
)
def test_phantom_power_is_off_unless_the_new_device_needs_it(
    after: BenchDevice | None, there: Channel, safe: bool
) -> None:
    doubt = asked(UNKNOWN, after, there, there)["phantom"]
    assert (doubt.now, doubt.safe) == (not safe, safe)


def test_phantom_power_as_the_new_device_needs_it_is_no_question() -> None:
    assert "phantom" not in asked(DYNAMIC, CONDENSER, ON, ON)
    assert "phantom" not in asked(CONDENSER, DYNAMIC, OFF, OFF)


def test_a_passive_ribbon_gets_none_though_it_is_entered_as_needing_it() -> None:
    both = replace(LOUDER, needs_phantom=True)
    assert asked(UNKNOWN, both, ON, ON)["phantom"].safe is False
    assert "phantom" not in asked(UNKNOWN, both, OFF, OFF)


def test_gain_comes_down_for_a_more_sensitive_microphone() -> None:
    doubt = asked(DYNAMIC, LOUDER, OFF, OFF)["gain_db"]
    assert (doubt.now, doubt.safe, doubt.value) == (30.0, 23.5, "23.5")  # 30 − 6.02, downwards
    assert doubt.why == "With Sail the channel is 6.0 dB louder than with Hollow 2."


def test_gain_stays_for_a_less_sensitive_one_and_says_what_would_be_alike() -> None:
    doubt = asked(LOUDER, DYNAMIC, OFF, OFF)["gain_db"]
    assert doubt.safe == 30.0
    assert doubt.why.endswith("6.0 dB quieter than with Sail: as loud as before at 36 dB of gain.")


def test_alike_ones_and_gain_that_nobody_recorded_are_no_question() -> None:
    assert asked(DYNAMIC, replace(DYNAMIC, id="e"), OFF, OFF) == {}
    assert asked(DYNAMIC, LOUDER, Channel(), Channel()) == {}


@pytest.mark.parametrize("after", [UNKNOWN, DI])
def test_gain_goes_to_the_bottom_where_levels_cannot_be_compared(after: BenchDevice) -> None:
    assert asked(DYNAMIC, after, OFF, OFF)["gain_db"].safe == 0.0


def test_gain_that_is_brought_back_with_its_device_is_no_question() -> None:
    """30 dB with the one is 24 dB with the other, within half a dB."""
    assert asked(DYNAMIC, LOUDER, OFF, Channel(False, 0.0, 24.0)) == {}


def test_a_pad_is_asked_about_and_stays() -> None:
    there = Channel(False, -20.0, None)
    doubt = asked(DYNAMIC, LOUDER, there, there)["pad_db"]
    assert (doubt.now, doubt.safe) == (-20.0, -20.0)


def test_taking_the_pad_out_makes_the_gain_doubtful_as_well() -> None:
    doubt = asked(DYNAMIC, LOUDER, Channel(False, -20.0, 30.0), OFF)["gain_db"]
    assert doubt.safe == 3.5  # 30 − 20 − 6.02, downwards


def test_a_pad_of_the_old_devices_own_is_gone_and_its_level_comes_on_top() -> None:
    """30 dB with a pad of 20 dB; without it and 6.02 dB more sensitive that is 3.98: 3.5 dB."""
    there = Channel(False, -20.0, 30.0, own_pad=True)
    found = asked(DYNAMIC, LOUDER, there, there)
    assert (found["pad_db"].now, found["pad_db"].value) == (-20.0, "0")
    assert (found["pad_at"].now, found["pad_at"].value) == ("device", "")
    assert found["gain_db"].safe == 3.5
    assert found["pad_db"].why == "The pad was that of Hollow 2 itself and is gone with it."


def test_a_pad_that_is_said_to_be_in_the_new_one_counts() -> None:
    there = Channel(False, -20.0, 30.0, own_pad=True)
    found = {d.field: d for d in doubts(DYNAMIC, LOUDER, there, there, ["pad_db", "pad_at"])}
    assert list(found) == ["gain_db"]
    assert found["gain_db"].safe == 23.5


def test_a_pad_of_the_preamp_stays_whatever_is_plugged_in() -> None:
    there = Channel(False, -20.0, 30.0)
    assert asked(DYNAMIC, LOUDER, there, there)["pad_db"].safe == -20.0


ACTIVE_DI = replace(DI, id="a", name="Active DI", needs_phantom=True)


@pytest.mark.parametrize(
    ("after", "safe"),
    [(DYNAMIC, False), (None, False), (ACTIVE_DI, False), (replace(DI, id="e"), True)],
)
def test_a_ground_lift_is_out_unless_a_di_does_without_its_shield(
    after: BenchDevice | None, safe: bool
) -> None:
    lifted = Channel(False, 0.0, None, ground_lift=True)
    doubt = asked(DI, after, lifted, lifted)["ground_lift"]
    assert (doubt.now, doubt.safe) == (True, safe)


def test_a_ground_lift_that_is_new_with_its_di_is_no_question() -> None:
    lifted = Channel(True, 0.0, None, ground_lift=True)
    assert asked(DYNAMIC, ACTIVE_DI, replace(lifted, ground_lift=False), lifted) == {}


FIGURES = st.none() | st.floats(1e-4, 0.1)
CHANNELS = st.builds(
    Channel, st.booleans(), st.sampled_from([0.0, -10.0, -20.0]), st.none() | st.floats(-30, 90)
)


@given(FIGURES, FIGURES, st.booleans(), CHANNELS)
def test_what_is_safe_is_never_louder_and_asks_nothing_more_of_phantom(
    one: float | None, two: float | None, needs: bool, there: Channel
) -> None:
    before = replace(DYNAMIC, sensitivity=one)
    after = replace(CONDENSER, sensitivity=two, needs_phantom=needs)
    found = asked(before, after, there, there)
    gain = found["gain_db"].safe if "gain_db" in found else there.gain
    assert there.gain is None or (gain is not None and gain <= there.gain)
    settled = replace(there, phantom=needs)
    assert "phantom" not in asked(before, after, there, settled)
