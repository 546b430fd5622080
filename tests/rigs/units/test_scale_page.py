"""The scale of a whole unit: pointer or figure kept, shown for every dial before it is saved.

By hand: an hour of a clock face is 30°, and so is one number of a dial from 0 to 10, which starts
at 7 o'clock; so 2:30 points where 7.5 does, and 10 o'clock where 3 does.
"""

from __future__ import annotations

from decimal import Decimal
from uuid import uuid4

import pytest

from core.models import Song
from rigs.changes.edits import Add, Set
from rigs.models import Control, Revision, SongSetting
from rigs.revisions.read import as_of
from rigs.revisions.verify import verify_rig
from tests.support.pages import queries_of
from tests.support.rig_pages import Page, as_user, at
from tests.support.world import World, make_world


@pytest.fixture
def loud(world: World) -> World:
    """Gain 2:30, bass 10:00 (11:00 in a song), a switch, and a middle that was never set."""
    unit, bass = str(world.unit.pk), str(uuid4())
    song = Song.objects.create(production=world.production, title="Lantern")
    world.record(
        Set(str(world.control.pk), "control", {"setting": "2:30"}),
        Add(bass, "control", {"unit": unit, "name": "Bass", "setting": "10:00", "position": 2}),
        Add(str(uuid4()), "control", {"unit": unit, "name": "Middle", "position": 3}),
        Add(
            str(uuid4()),
            "control",
            {
                "unit": unit,
                "name": "Standby",
                "style": "switch",
                "choices": "off, on",
                "setting": "on",
                "position": 4,
            },
        ),
        Add(
            str(uuid4()),
            "song_setting",
            {"song": str(song.pk), "control": bass, "value": "11:00"},
        ),
    )
    return world


def page(world: World, query: str = "") -> Page:
    return Page(as_user(world.tech), at(world, "unit_scale", world.unit) + query)


def standing() -> dict[str, tuple[str, str]]:
    return {c.name: (c.style, c.setting) for c in Control.objects.filter(retired=False)}


def test_every_dial_is_shown_in_both_ways_before_anything_is_saved(loud: World) -> None:
    before = Revision.objects.count()
    shown = page(loud)
    rows = shown.response.context["form"].rows
    assert [
        (row.label, row.now.text, *((then.control.text, then.problem) for then in row.ways))
        for row in rows
    ] == [
        ("Gain", "2:30", ("7.5 of 10", ""), ("2.3 of 10", "")),
        ("Bass", "10 o’clock", ("3 of 10", ""), ("10 of 10", "")),
        ("Bass in “Lantern”", "11 o’clock", ("4 of 10", ""), ("", OFF)),
        ("Middle", "", ("", ""), ("", "")),
    ]
    assert [[then.control.angle for then in row.ways] for row in rows[:1]] == [[75.0, -81.0]]
    assert shown.html.count("scale-dial") == 12
    assert Revision.objects.count() == before


OFF = "11 is off the dial, which runs 0 to 10."


def test_the_pointers_stay_in_one_change_with_what_songs_say(loud: World) -> None:
    old = as_of(loud.rig, loud.rig.head_number)
    before, number = Revision.objects.count(), loud.rig.head_number
    assert page(loud).send(keep="pointer").status == 302
    assert Revision.objects.count() == before + 1
    assert standing() == {
        "Gain": ("dial", "7.5"),
        "Bass": ("dial", "3"),
        "Middle": ("dial", ""),
        "Standby": ("switch", "on"),
    }
    assert SongSetting.objects.get().value == "4"
    # What was is as it was, and the chain of digests holds.
    loud.rig.refresh_from_db()
    assert as_of(loud.rig, number) == old
    assert verify_rig(loud.rig) == number + 1


def test_a_figure_that_cannot_stay_is_asked_for(loud: World) -> None:
    asked = page(loud).send(keep="figure")
    assert "Write how it stands on the new scale." in asked.html
    name = next(name for name in asked.sent if name.startswith("at-"))
    off = asked.send(**{name: "12", "keep": "figure"})
    assert off.sent[name] == "12"
    assert "12 is off the dial" in off.html
    assert off.send(**{name: "9", "keep": "figure"}).status == 302
    assert standing()["Bass"] == ("dial", "10")
    assert SongSetting.objects.get().value == "9"


def test_back_to_a_clock_and_to_other_numbers(loud: World) -> None:
    page(loud).send(keep="pointer")
    assert page(loud, "?to=numbers&low=0&high=12").send(keep="pointer").status == 302
    gain = Control.objects.get(name="Gain")
    assert (gain.setting, gain.low, gain.high) == ("9", Decimal(0), Decimal(12))  # 0.75 of 12
    assert page(loud).send(keep="pointer").status == 302
    gain.refresh_from_db()
    assert (gain.style, gain.setting, gain.low, gain.high) == ("clock", "2:30", None, None)
    assert standing()["Bass"] == ("clock", "10:00")


def test_the_history_says_it_in_words(loud: World) -> None:
    page(loud).send(keep="pointer")
    loud.rig.refresh_from_db()
    url = at(loud, "revision", loud.rig.head_number)
    text = " ".join(Page(as_user(loud.tech), url).html.split())
    for said in ("dial, read as a clock", "dial with numbers", "2:30", "7.5"):
        assert said in text


@pytest.mark.parametrize(
    ("query", "said"),
    [
        ("?to=numbers&low=10&high=0", "must end at a higher number"),
        ("?to=numbers&low=0&high=loud", "Enter a number"),
        ("?to=sundial", "Select a valid choice"),
    ],
)
def test_a_scale_that_cannot_be_is_refused(loud: World, query: str, said: str) -> None:
    refused = page(loud, query)
    assert said in refused.html
    assert "the pointers stay" not in refused.html


def test_what_somebody_else_turned_meanwhile_is_shown_first(loud: World) -> None:
    opened = page(loud)
    loud.record(Set(str(loud.control.pk), "control", {"setting": "9:00"}))
    again = opened.send(keep="pointer")
    assert again.status == 409
    assert "Somebody else changed a dial" in again.html
    assert standing()["Gain"] == ("clock", "9:00")
    assert again.send(keep="pointer").status == 302
    assert standing()["Gain"] == ("dial", "2")


def test_a_dial_that_came_meanwhile_is_looked_at_first(loud: World) -> None:
    opened = page(loud)
    more = {"unit": str(loud.unit.pk), "name": "Treble", "setting": "1:00", "position": 9}
    loud.record(Add(str(uuid4()), "control", more))
    again = opened.send(keep="pointer")
    assert "Somebody else changed a dial" in again.html
    assert standing()["Gain"] == ("clock", "2:30")
    assert again.send(keep="pointer").status == 302
    assert standing()["Treble"] == ("dial", "6")


def test_the_unit_leads_to_it_where_it_has_dials(loud: World) -> None:
    tech = as_user(loud.tech)
    link = at(loud, "unit_scale", loud.unit)
    assert link in Page(tech, at(loud, "unit", loud.unit)).html
    assert link not in Page(as_user(loud.people["player"]), at(loud, "unit", loud.unit)).html
    assert Page(as_user(loud.people["player"]), link).status == 403
    assert Page(tech, at(make_world("Elsewhere"), "unit_scale", loud.unit)).status == 404


def test_the_queries_do_not_grow(loud: World) -> None:
    client, url = as_user(loud.tech), at(loud, "unit_scale", loud.unit)
    client.get(url)
    few = queries_of(client, url)
    own = {"unit": str(loud.unit.pk), "name": "More", "setting": "3:00"}
    loud.record(*(Add(str(uuid4()), "control", own) for _ in range(20)))
    assert queries_of(client, url) == few
