"""The layers of a leg and a show on a documented rig."""

from __future__ import annotations

import copy
from dataclasses import replace
from typing import Any
from uuid import UUID, uuid5

from hypothesis import given
from hypothesis import strategies as st

from rigs.changes.edits import Snapshot
from rigs.changes.played import Layer as Whose
from rigs.changes.played import played
from rigs.tonight.layers import DOCUMENTED, REPLACED, SET, Layer, edits_of, laid, lost

_NAMES = UUID("6d1d3f0e-5d0a-4a0e-9d43-0d5a1f0c7a11")


def named(name: str) -> str:
    return str(uuid5(_NAMES, name))


HEAD, BASS, RADIO = named("head"), named("bass"), named("radio")
GAIN, MASTER, MHZ = named("gain"), named("master"), named("mhz")
SONG = named("song")

RIG: Snapshot = {
    HEAD: {"kind": "unit", "name": "Head", "gear": "valve_head", "maker": "Tarn", "serial": "12"},
    GAIN: {"kind": "control", "unit": HEAD, "name": "Gain", "setting": "2:30"},
    MASTER: {"kind": "control", "unit": HEAD, "name": "Master"},
    BASS: {"kind": "unit", "name": "Bass", "gear": "bass", "tuning": "E1 A1 D2 G2"},
    RADIO: {"kind": "unit", "name": "Radio", "gear": "wireless"},
    MHZ: {
        "kind": "control",
        "unit": RADIO,
        "name": "Frequency",
        "style": "value",
        "symbol": "MHz",
        "setting": "606.5",
    },
    named("link"): {"kind": "link", "source": BASS, "target": HEAD},
    named("strings"): {"kind": "spare", "unit": BASS, "sort": "string_set", "gauges": "45 65 80"},
    named("photo"): {"kind": "photo", "about": HEAD, "image": named("image")},
    named("pin"): {"kind": "pin", "photo": named("photo"), "about": GAIN},
    named("own"): {
        "kind": "song_setting",
        "song": SONG,
        "control": GAIN,
        "value": "4:00",
    },
}


def layer(name: str = "a", unit: str = HEAD, **more: Any) -> Layer:
    return Layer(named(name), unit, **more)


def hired(name: str = "hired") -> Layer:
    return layer(
        name,
        what=REPLACED,
        fields={"gear": "head", "maker": "Brack", "model": "Four"},
        controls={named(f"{name} drive"): {"name": "Drive", "setting": "1:00"}},
    )


def with_own_controls(made: Layer) -> Layer:
    """What came has controls of its own: no id of one is that of a control of another unit."""
    own = {named(f"{made.unit} {key}"): known for key, known in made.controls.items()}
    return replace(made, controls=own)


TEXTS = st.sampled_from(["", "D2 A2", "stage left"])
LAYERS = st.builds(
    Layer,
    id=st.integers(0, 30).map(lambda n: named(str(n))),
    unit=st.sampled_from([HEAD, BASS, RADIO, named("gone")]),
    what=st.sampled_from([SET, SET, REPLACED, DOCUMENTED]),
    fields=st.fixed_dictionaries({"tuning": TEXTS, "stage_position": TEXTS, "maker": TEXTS}),
    settings=st.dictionaries(
        st.sampled_from([GAIN, MASTER, named("gone")]), st.sampled_from(["", "9:00", "12:00"])
    ),
    controls=st.dictionaries(
        st.integers(0, 9).map(str),
        st.fixed_dictionaries({"name": st.just("Drive"), "setting": st.just("1:00")}),
        max_size=2,
    ),
    strings=st.sampled_from(["", "50 70 90"]),
    radio=st.sampled_from(["", "863.1 MHz", "G12 ch 4"]),
    pack=st.sampled_from(["", "3"]),
).map(with_own_controls)


@given(st.lists(LAYERS, max_size=6))
def test_nothing_below_is_written(layers: list[Layer]) -> None:
    before = copy.deepcopy(RIG)
    laid(RIG, layers)
    assert before == RIG


@given(st.lists(LAYERS, max_size=6))
def test_without_its_layers_the_rig_is_as_documented(layers: list[Layer]) -> None:
    assert laid(RIG, []) == RIG
    back = [Layer(named(f"back {unit}"), unit, DOCUMENTED) for unit in (HEAD, BASS, RADIO)]
    assert laid(RIG, [*layers, *back]) == RIG


@given(st.lists(LAYERS, max_size=6))
def test_laid_once_more_a_layer_changes_nothing(layers: list[Layer]) -> None:
    """What becomes permanent differs no more: the same edits find nothing to do."""
    for each in layers:
        if each.what == SET:
            state = laid(RIG, [each])
            assert edits_of(state, each) == []


@given(st.lists(LAYERS, max_size=6))
def test_nothing_points_at_what_is_not_there(layers: list[Layer]) -> None:
    state = laid(RIG, layers)
    for known in state.values():
        for name in ("unit", "control", "photo", "source", "target"):
            assert known.get(name) is None or known[name] in state


@given(LAYERS, LAYERS)
def test_units_do_not_mind_each_other(one: Layer, other: Layer) -> None:
    if one.unit != other.unit and one.id != other.id:
        assert laid(RIG, [one, other]) == laid(RIG, [other, one])


def test_the_show_counts_before_the_leg() -> None:
    leg = layer("leg", settings={GAIN: "9:00", MASTER: "3:00"})
    show = layer("show", settings={GAIN: "12:00"})
    state = laid(RIG, [leg, show])
    assert state[GAIN]["setting"] == "12:00"
    # What the show does not speak of stays as the leg has it.
    assert state[MASTER]["setting"] == "3:00"
    assert laid(RIG, [show, leg])[GAIN]["setting"] == "9:00"


def test_what_came_has_controls_of_its_own() -> None:
    state = laid(RIG, [hired()])
    own = [known for known in state.values() if known.get("unit") == HEAD]
    assert own == [{"kind": "control", "unit": HEAD, "name": "Drive", "setting": "1:00"}]
    assert state[HEAD] == {
        "kind": "unit",
        "name": "Head",
        "gear": "head",
        "maker": "Brack",
        "model": "Four",
    }
    # The cable stays in; photo, pin and what a song said of its Gain are of the other one.
    assert named("link") in state
    assert {named("photo"), named("pin"), named("own")}.isdisjoint(state)
    assert lost(RIG, state) == [(SONG, GAIN)]


def test_what_was_set_on_ours_is_not_set_on_what_came() -> None:
    state = laid(RIG, [layer("leg", settings={GAIN: "9:00"}), hired()])
    assert GAIN not in state
    state = laid(RIG, [hired("leg"), layer("show", settings={named("leg drive"): "5:00"})])
    assert state[named("leg drive")]["setting"] == "5:00"


def test_scene_and_song_come_on_top() -> None:
    state = laid(RIG, [layer(settings={GAIN: "9:00"})])
    assert played(state).controls[GAIN].value == "9:00"
    assert played(state, SONG).controls[GAIN].value == "4:00"
    assert played(state, SONG).controls[GAIN].layer is Whose.SONG


def test_radio_is_said_on_the_controls_that_hold_it() -> None:
    state = laid(RIG, [layer(unit=RADIO, radio="G12 ch 4, 863.125 MHz", pack="3")])
    said = {k["name"]: k["setting"] for k in state.values() if k.get("unit") == RADIO}
    assert said == {"Frequency": "863.125", "Group and channel": "G12 ch 4", "Pack": "3"}
    # A channel alone: the documented frequency is not tonight’s.
    state = laid(RIG, [layer(unit=RADIO, radio="G12 ch 4")])
    assert state[MHZ].get("setting", "") == ""


def test_strings_are_said_where_they_are_documented() -> None:
    state = laid(RIG, [layer(unit=BASS, strings="50 70 90", fields={"tuning": "D1 G1 C2 F2"})])
    assert state[named("strings")]["gauges"] == "50 70 90"
    assert state[BASS]["tuning"] == "D1 G1 C2 F2"
