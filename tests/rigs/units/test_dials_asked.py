"""10 of 10, or 10 o'clock: asked once for a unit, both ways drawn, wherever a setting is typed.

Pointers of the drawings, by hand: 10 of 10 ends the sweep of 300° at 150°, 10 o'clock is at −60°.
"""

from __future__ import annotations

from uuid import uuid4

import pytest

from core.models import Song
from rigs.changes.edits import Add, Set
from rigs.models import Control, Revision
from tests.support.rig_pages import Page, as_user, at
from tests.support.world import World

QUESTION = "“10” at Gain: 10 of 10, or 10 o’clock?"


@pytest.fixture
def bare(world: World) -> World:
    """Nobody has said yet how the head stands."""
    world.record(
        Set(str(world.control.pk), "control", {"setting": ""}),
        Add(str(uuid4()), "control", {"unit": str(world.unit.pk), "name": "Bass", "position": 2}),
    )
    return world


def dials_of(unit: str) -> dict[str, tuple[str, str]]:
    rows = Control.objects.filter(unit__name=unit, style__in=["clock", "dial"], retired=False)
    return {row.name: (row.style, row.setting) for row in rows}


def assert_both_are_drawn(page: Page) -> None:
    assert page.html.count(QUESTION) >= 1
    values = ['name="dials" value="numbers"', 'name="dials" value="clock"']
    assert [page.html.count(value) for value in values] == [1, 1]
    # 150° and −60° from straight up, 17 from the middle of a drawing of 72.
    assert page.html.count('x2="44.5" y2="50.72"') == 1
    assert page.html.count('x2="21.28" y2="27.5"') == 1


def new_unit(world: World, gear: str) -> Page:
    return Page(as_user(world.tech), f"{at(world, 'unit_new')}?gear={gear}")


@pytest.mark.parametrize(
    ("answer", "kept"),
    [
        ("numbers", {"Gain": ("dial", "10"), "Bass": ("dial", "7")}),
        ("clock", {"Gain": ("clock", "10:00"), "Bass": ("clock", "7:00")}),
    ],
)
def test_a_new_amplifier_asks_and_keeps_what_was_typed(
    world: World, answer: str, kept: dict[str, tuple[str, str]]
) -> None:
    asked = new_unit(world, "head").send(name="Amp", setting__0="10", setting__1="7")
    assert_both_are_drawn(asked)
    assert asked.sent["setting-0"] == "10"
    assert not Control.objects.filter(unit__name="Amp").exists()
    assert asked.send(dials=answer).status == 302
    rest = dict.fromkeys(["Middle", "Treble", "Master"], (kept["Gain"][0], ""))
    assert dials_of("Amp") == {**kept, **rest}


@pytest.mark.parametrize(
    ("typed", "stands"),
    [("10", ("dial", "10")), ("7", ("dial", "7")), ("2:30", ("clock", "2:30"))],
)
def test_a_guitar_has_numbers_and_is_not_asked(
    world: World, typed: str, stands: tuple[str, str]
) -> None:
    assert new_unit(world, "guitar").send(name="Guitar", setting__1=typed).status == 302
    assert dials_of("Guitar")["Volume"] == stands


def test_twelve_is_off_the_knob_of_a_guitar(world: World) -> None:
    back = new_unit(world, "guitar").send(name="Guitar", setting__1="12")
    assert "12 is off the dial, which runs 0 to 10." in back.html


def test_what_can_be_one_thing_only_is_not_asked(world: World) -> None:
    assert new_unit(world, "head").send(name="A", setting__0="10", setting__1="12").status == 302
    assert dials_of("A")["Gain"] == ("clock", "10:00")
    assert new_unit(world, "head").send(name="B", setting__0="10", setting__1="6").status == 302
    assert dials_of("B")["Gain"] == ("dial", "10")


def test_the_first_settings_of_a_unit_ask_once(bare: World) -> None:
    page = Page(as_user(bare.tech), at(bare, "unit", bare.unit))
    asked = page.send(**{f"c-{bare.control.pk}": "10"})
    assert_both_are_drawn(asked)
    assert asked.send(dials="numbers").status == 302
    assert dials_of("Head") == {"Gain": ("dial", "10"), "Bass": ("dial", "")}
    again = Page(as_user(bare.tech), at(bare, "unit", bare.unit))
    assert "Its dials are read" not in again.html
    assert again.send(**{f"c-{bare.control.pk}": "7"}).status == 302
    assert dials_of("Head")["Gain"] == ("dial", "7")


def test_a_unit_that_is_read_as_a_clock_is_not_asked(world: World) -> None:
    page = Page(as_user(world.tech), at(world, "unit", world.unit))
    assert page.send(**{f"c-{world.control.pk}": "10"}).status == 302
    assert dials_of("Head") == {"Gain": ("clock", "10:00")}


def test_the_form_of_one_control_asks_for_the_whole_unit(bare: World) -> None:
    page = Page(as_user(bare.tech), at(bare, "control_edit", bare.control))
    asked = page.send(setting="10")
    assert_both_are_drawn(asked)
    assert asked.send(dials="numbers").status == 302
    assert dials_of("Head") == {"Gain": ("dial", "10"), "Bass": ("dial", "")}
    more = Page(as_user(bare.tech), at(bare, "control_new", bare.unit))
    assert more.send(name="Treble", setting="7").status == 302
    assert dials_of("Head")["Treble"] == ("dial", "7")


def test_a_song_takes_only_what_is_beyond_doubt(bare: World) -> None:
    song = Song.objects.create(production=bare.production, title="Lantern")
    url, name = at(bare, "rig_song", song), f"c-{bare.control.pk}"
    refused = Page(as_user(bare.tech), url).send(**{name: "10"})
    assert "nothing says yet how the dials of “Head” are read" in refused.html
    assert refused.send(**{name: "10 o'clock"}).status == 302


# Several units at once.


@pytest.fixture
def several(world: World) -> Page:
    return Page(as_user(world.tech), at(world, "units_several"))


def test_several_show_each_control_drawn_before_they_are_saved(world: World, several: Page) -> None:
    before = Revision.objects.count()
    shown = several.send(lines="Amp, head, , 10, 7\nGuitar, guitar, , neck, 10, 7")
    assert QUESTION in shown.html
    assert shown.html.count("data-taken>") == 4
    for taken in ("10 of 10", "7 of 10"):
        assert f"data-taken-words>{taken}</span>" in shown.html
    refused = shown.send()
    assert "Say which is meant for all its dials." in refused.html
    assert Revision.objects.count() == before
    assert refused.send(**{"unit-0-dials": "clock"}).status == 302
    assert dials_of("Amp")["Bass"] == ("clock", "7:00")
    assert dials_of("Guitar") == {"Volume": ("dial", "10"), "Tone": ("dial", "7")}


def test_what_was_taken_is_corrected_in_place(world: World, several: Page) -> None:
    shown = several.send(lines="Amp, head, , 2:30, 10")
    wrong = shown.send(**{"unit-0-setting-1": "6:00"})
    assert "points below the dial" in wrong.html
    look = wrong.send(**{"unit-0-setting-1": "11", "look": "1"})
    assert "data-taken-words>11 o’clock</span>" in look.html
    other = look.send(**{"unit-0-dials": "numbers", "unit-0-setting-0": "2.5", "look": "1"})
    assert "data-taken-words>2.5 of 10</span>" in other.html
    assert "11 is off the dial" in other.html
    assert other.send(**{"unit-0-setting-1": ""}).status == 302
    assert dials_of("Amp")["Gain"] == ("dial", "2.5")
    assert dials_of("Amp")["Bass"] == ("dial", "")


def test_back_to_the_lines_with_all_that_was_typed(world: World, several: Page) -> None:
    lines = "Amp, head, , 10, 7"
    back = several.send(lines=lines).send(again="1")
    assert back.sent["lines"] == lines
    assert "Is this what you meant?" not in back.html


def test_several_without_a_dial_are_added_at_once(world: World, several: Page) -> None:
    assert several.send(lines="Squeeze, compressor, , on, -18\nCab, cab").status == 302
