"""Several units at once, and going from one unit's settings to the next."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigs.changes.edits import Add
from rigs.editing.ordering import in_order
from rigs.gear import GEAR
from rigs.models import Control, Revision, Unit
from rigs.units.several import kind_of, read_line, read_lines
from tests.support.pages import as_user
from tests.support.rig_pages import Page, at
from tests.support.world import World

LINES = """Main bass, bass, Tarn Four, 5:00, 12
Fuzz, pedal, , on, Drive 3:00

Second head, valve head, Tarn Fifty, 2:30, , , 9, , 10, ON, 8 ω
Cab, cab"""


@pytest.fixture
def several(world: World) -> Page:
    return Page(as_user(world.tech), at(world, "units_several"))


def settings_of(name: str) -> dict[str, str]:
    return {c.name: c.setting for c in Control.objects.filter(unit__name=name) if c.setting}


def test_each_line_is_a_unit_with_its_usual_controls(world: World, several: Page) -> None:
    before = Revision.objects.count()
    shown = several.send(lines=LINES)
    assert Revision.objects.count() == before  # nothing is saved before it was looked at
    sent = shown.send()
    assert sent.response.url.endswith("?walk=1#settings")
    assert Revision.objects.count() == before + 1
    made = [(u.name, u.gear, u.maker, u.model) for u in in_order(Unit.objects.all())]
    assert made[1:] == [
        ("Main bass", "bass", "Tarn", "Four"),
        ("Fuzz", "pedal", "", ""),
        ("Second head", "valve_head", "Tarn", "Fifty"),
        ("Cab", "cabinet", "", ""),
    ]
    assert settings_of("Main bass") == {"Volume": "5:00", "Blend": "12:00"}
    assert settings_of("Fuzz") == {"On": "on", "Drive": "3:00"}
    assert settings_of("Second head") == {
        "Gain": "2:30",
        "Treble": "9:00",
        "Master": "10:00",
        "Standby": "on",
        "Speaker tap": "8 Ω",
    }
    names = [c.name for c in in_order(Control.objects.filter(unit__name="Fuzz"))]
    assert names == [usual.name for usual in GEAR["pedal"].usual if usual.taken]


def test_what_cannot_be_read_is_said_by_line_and_kept(world: World, several: Page) -> None:
    again = several.send(lines="Fuzz, pedal, , on, 6:00\nThing, zither\n, pedal\nGood, pedal")
    for said in ("Line 1: Level: “6:00” points below the dial", "Line 2: “zither” is no kind"):
        assert said in again.html
    assert "Line 3: It begins with the unit’s name." in again.html
    assert again.sent["lines"].endswith("Good, pedal")
    assert Unit.objects.count() == 1


def test_settings_of_a_unit_without_a_kind_ask_for_the_kind() -> None:
    with pytest.raises(ValueError, match="“on” needs a kind of gear in front"):
        read_line("Squeeze, , , on")
    assert read_line("Comp, , , on").gear.key == "compressor"


def test_what_is_there_already_is_not_added_twice(world: World, several: Page) -> None:
    assert "“head” is in the rig already." in several.send(lines="head, pedal").html
    assert "stands there twice" in several.send(lines="Fuzz, pedal\nfuzz, pedal").html


def test_one_setting_too_many_is_said() -> None:
    with pytest.raises(
        ValueError, match="one setting more than gear of this kind usually has: speaker cabinet"
    ):
        read_line("Cab, cabinet, , 2:30")


def test_a_maker_of_two_words_is_known_again() -> None:
    draft = read_line("Box, pedal, Quarrie & Lund Eskvane", ["Quarrie & Lund"])
    assert (draft.maker, draft.model) == ("Quarrie & Lund", "Eskvane")


@pytest.mark.parametrize("key", GEAR)
def test_every_kind_is_known_by_its_label_and_its_key(key: str) -> None:
    gear = GEAR[key]
    assert kind_of(gear.label) == kind_of(key.replace("_", " ")) == gear


def test_a_kind_that_could_be_several_is_asked_for() -> None:
    with pytest.raises(ValueError, match="can be"):
        kind_of("c")


@pytest.mark.parametrize(
    ("name", "key"),
    [
        ("Fuzz pedal", "pedal"),
        ("Slow delay pedal", "delay"),
        ("Bass head", "head"),
        ("Spare valve head", "valve_head"),
        ("Volume pedal", "volume_pedal"),
        ("Thing", "other"),
        ("Organ upstairs", "organ"),
        ("Bass drum", "drum"),
    ],
)
def test_a_name_may_tell_the_kind(name: str, key: str) -> None:
    assert read_line(name).gear.key == key


def test_one_number_that_is_no_time_makes_all_dials_of_its_line_numbered() -> None:
    numbered = read_line("Top, head, , 6.5, 5, 4, 7, 0")
    assert numbered.settings == {
        "Gain": "6.5",
        "Bass": "5",
        "Middle": "4",
        "Treble": "7",
        "Master": "0",
    }
    assert {numbered.style_of(usual) for usual in numbered.gear.usual} == {"dial"}
    clocks = read_line("Top, head, , 2:30, 5, 4, 7, 3")
    assert clocks.settings["Bass"] == "5"
    assert {clocks.style_of(usual) for usual in clocks.gear.usual} == {"clock"}


def test_numbers_and_times_in_one_line_are_refused() -> None:
    with pytest.raises(ValueError, match="Bass: “6.5” is not a clock position"):
        read_line("Top, head, , 2:30, 6.5")


def test_the_switches_of_gear_with_numbered_dials_stay_switches(
    world: World, several: Page
) -> None:
    several.send(lines="Fuzz, pedal, , on, 6.5, 0, 10").send()
    kept = {c.name: (c.style, c.setting) for c in Control.objects.filter(unit__name="Fuzz")}
    assert kept == {
        "On": ("switch", "on"),
        "Level": ("dial", "6.5"),
        "Drive": ("dial", "0"),
        "Tone": ("dial", "10"),
    }


CLOCKS = st.sampled_from(["7:00", "9:15", "12:00", "2:30", "5:00"])


@given(st.lists(CLOCKS, max_size=5))
def test_settings_go_to_the_usual_controls_in_order(said: list[str]) -> None:
    [draft] = read_lines(", ".join(["Amp", "combo", "", *said]))
    names = [usual.name for usual in GEAR["combo"].usual]
    assert draft.settings == dict(zip(names, said, strict=False))


@given(st.permutations(["Gain", "Bass", "Middle", "Treble", "Master"]))
def test_named_settings_may_come_in_any_order(order: list[str]) -> None:
    wanted = {name: f"{at + 1}:00" for at, name in enumerate(["Gain", "Bass", "Middle", "Treble"])}
    wanted["Master"] = "9:00"
    [draft] = read_lines(", ".join(["Amp", "combo", "", *(f"{n} {wanted[n]}" for n in order)]))
    assert draft.settings == wanted


def test_the_settings_lead_from_unit_to_unit(world: World) -> None:
    new = "11111111-1111-4111-8111-111111111111"
    world.record(Add(new, "unit", {"name": "Cab", "gear": "cabinet", "position": 9}))
    url = f"{at(world, 'unit', world.unit)}?walk=1"
    page = Page(as_user(world.tech), url)
    assert "autofocus" in page.html
    assert "Save and go on to Cab" in page.html
    sent = page.send(**{f"c-{world.control.pk}": "9:00", "next": "1"})
    assert sent.response.url == f"{at(world, 'unit', new)}?walk=1#settings"
    # Nothing turned: on to the next all the same.
    again = Page(as_user(world.tech), url).send(next="1")
    assert again.response.url == sent.response.url
