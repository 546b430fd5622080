"""What a check says of one control, against what is documented now."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest

from rigs.changes.edits import Set
from rigs.knob_check.states import KnobState, states, summary
from rigs.models import Control, PanelCheck
from tests.rigs.photos.pinning import add_photo, add_pin
from tests.support.world import World


@pytest.fixture(autouse=True)
def own_folder(settings: Any, tmp_path: Any) -> None:
    settings.MEDIA_ROOT = tmp_path


def state_of(world: World, control: dict[str, Any], reading: dict[str, Any]) -> KnobState:
    """The state of the world's control, changed to `control`, where `reading` was read of it."""
    if control:
        world.record(Set(str(world.control.pk), "control", control))
    photo = add_photo(world)
    pin = add_pin(world, photo, Control.objects.get(pk=world.control.pk), cap_radius="0.1")
    reading = {
        **canned_reading(),
        "pin": str(pin.pk),
        "control": str(world.control.pk),
        **reading,
    }
    check = PanelCheck(reference=photo, before=photo.image, image=photo.image, readings=[reading])
    return states(check)[0]


def canned_reading() -> dict[str, Any]:
    return {
        "name": "Gain",
        "turn": None,
        "reason": "",
        "circle": [0.5, 0.5, 0.1],
        "seen": [9.0, 0.0, 0.0, 9.0, 50.0, 50.0],
    }


NUMBERED = {"style": "dial", "low": "0", "high": "10"}


@pytest.mark.parametrize(
    ("setting", "turn", "stands", "words"),
    [
        # A dial from 0 to 10 turns 300° (docs/signal.md says of it: common practice, no source).
        ("2", 90.0, "5", "turned 90° clockwise"),
        ("2", -30.0, "1", "turned 30° anticlockwise"),
        # From one end to the other there is one way only, not the short one below.
        ("0", 300.0, "10", "turned 300° clockwise"),
    ],
)
def test_a_knob_is_told_by_how_much_and_which_way(
    world: World, setting: str, turn: float, stands: str, words: str
) -> None:
    reading = {"kind": "knob", "turn": turn, "shown": setting}
    state = state_of(world, {**NUMBERED, "setting": setting}, reading)
    assert (state.stands, state.off_words) == (stands, words)
    assert state.is_turned


@pytest.mark.parametrize(
    ("turn", "stands"),
    [
        # From 7:30 round to 4:30 there are 9 hours of a face, 270°: a number of ten is 27° there.
        (81.0, "5"),
        (-54.0, "0"),
        # 300° on it would be beyond its end.
        (240.0, ""),
    ],
)
def test_a_turn_is_a_setting_by_the_ends_of_the_travel(
    world: World, turn: float, stands: str
) -> None:
    reading = {"kind": "knob", "turn": turn, "shown": "2", "travel": ["7:30", "4:30"]}
    state = state_of(world, {**NUMBERED, "setting": "2"}, reading)
    assert state.stands == stands
    assert ("outside its travel" in state.reason) is (not stands)


def test_a_fader_is_told_in_parts_of_its_way(world: World) -> None:
    # A tenth of its way is 30° of a dial's sweep.
    reading = {"kind": "fader", "turn": 30.0, "shown": "6"}
    state = state_of(world, {**NUMBERED, "setting": "6"}, reading)
    assert (state.stands, state.off_words) == ("7", "moved by 10 % of its way")


def test_a_fader_seen_beyond_its_end_is_at_it(world: World) -> None:
    reading = {"kind": "fader", "turn": 45.0, "shown": "9"}
    assert state_of(world, {**NUMBERED, "setting": "9"}, reading).stands == "10"


@pytest.mark.parametrize(("stands", "same"), [("on", True), ("off", False)])
def test_a_switch_is_told_by_its_position(world: World, stands: str, same: bool) -> None:
    switch = {"style": "switch", "setting": "on", "choices": "off, on"}
    state = state_of(world, switch, {"kind": "switch", "shown": "on", "stands": stands})
    assert (state.is_same, state.is_turned) == (same, not same)
    assert summary([state]).words == ("1 as documented" if same else "1 turned")


def test_what_is_on_another_scale_now_cannot_be_told(world: World) -> None:
    reading = {"kind": "knob", "turn": 3.0, "shown": "2:30"}
    state = state_of(world, {**NUMBERED, "setting": "4"}, reading)
    assert state.off is None
    assert "not documented" in state.reason
    assert not state.is_same
    assert not state.is_turned


def test_a_control_that_is_gone_is_named(world: World) -> None:
    reading = {"kind": "knob", "turn": 3.0, "shown": "4", "control": str(uuid4())}
    state = state_of(world, {}, reading)
    assert (state.name, state.reason) == ("Gain", "it is no longer in the rig")
