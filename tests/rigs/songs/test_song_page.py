"""The page on what one song changes on one rig."""

from __future__ import annotations

from uuid import uuid4

import pytest

from core.models import Section, Song
from rigs.changes.edits import Add, Set
from rigs.models import Control, Revision, SongSetting
from rigs.revisions.record import record
from tests.rigs.songs.band import DROP_C, STANDARD, difference, guitars, make_song
from tests.support.pages import as_user, queries_of
from tests.support.pages import at as place
from tests.support.rig_pages import Page, at
from tests.support.world import World


@pytest.fixture
def song(world: World) -> Song:
    made = make_song(world, "Alder Ebb", 1)
    Section.objects.create(song=made, name="Bridge")
    return made


def open_page(world: World, song: Song, role: str = "tech") -> Page:
    return Page(as_user(world.people[role]), at(world, "rig_song", song))


def gain(world: World) -> str:
    return f"c-{world.control.pk}"


def test_only_what_is_filled_becomes_a_difference(world: World, song: Song) -> None:
    page = open_page(world, song)
    assert "As usual: 2:30." in page.html
    section = str(Section.objects.get().pk)
    sent = page.sent | {
        gain(world): "3.00",
        f"i-{world.input.pk}": "off",
        "q-new1": "drive pedal on",
        "q-new1-section": section,
        "q-new1-at": "1:05",
    }
    before = Revision.objects.count()
    answer = page.client.post(page.url, sent, follow=True)
    assert "What “Alder Ebb” changes is saved." in answer.content.decode()
    assert Revision.objects.count() == before + 1
    found = {row.what: row for row in SongSetting.objects.all()}
    assert {what: row.value for what, row in found.items()} == {
        "control": "3:00",
        "input": "off",
        "cue": "drive pedal on",
    }
    assert (str(found["cue"].section_id), found["cue"].at_s) == (section, 65)


def test_a_value_that_nobody_noted_shows_no_bare_unit(world: World, song: Song) -> None:
    """“As usual: dB.” says nothing: without a figure there is no unit to show."""
    level = {"unit": str(world.unit.pk), "name": "Level", "style": "value", "symbol": "dB"}
    world.record(Add(str(uuid4()), "control", level))
    page = open_page(world, song)
    assert "As usual: dB." not in page.html
    assert "As usual: not noted." in page.html


def test_sent_as_it_is_shown_nothing_is_written(world: World, song: Song) -> None:
    cue = difference(world.rig, song, "cue", value="pedal on")
    world.record(
        difference(world.rig, song, "control", world.control, "3:00"),
        difference(world.rig, song, "input", world.input, "off"),
        Add(cue.part, cue.kind, {**cue.fields, "at_s": 0}),
    )
    before = Revision.objects.count()
    answer = open_page(world, song).send()
    assert (answer.status, Revision.objects.count()) == (302, before)


def test_an_emptied_field_is_as_usual_again(world: World, song: Song) -> None:
    cue = difference(world.rig, song, "cue", value="pedal on")
    world.record(difference(world.rig, song, "control", world.control, "3:00"), cue)
    page = open_page(world, song)
    page.client.post(page.url, page.sent | {gain(world): "", f"q-{cue.part}": ""})
    assert not SongSetting.objects.live().exists()
    # Set again, it is the same part again: its history goes on.
    page = open_page(world, song)
    page.client.post(page.url, page.sent | {gain(world): "1:00"})
    assert SongSetting.objects.filter(what="control").count() == 1
    assert SongSetting.objects.live().get().value == "1:00"


def test_errors_stand_at_their_fields_and_keep_what_was_typed(world: World, song: Song) -> None:
    page = open_page(world, song)
    sent = page.sent | {
        gain(world): "6:10",
        "q-new1-at": "1:00",
        "q-new2": "x",
        "q-new2-at": "soon",
    }
    answer = page.client.post(page.url, sent)
    form = answer.context["form"]
    assert set(form.errors) == {gain(world), "q-new1", "q-new2-at"}
    assert 'value="6:10"' in answer.content.decode()
    assert not SongSetting.objects.exists()


def test_the_instrument_and_its_tuning(world: World, song: Song) -> None:
    rig, (first, second) = guitars(world, DROP_C, STANDARD)
    url = place(world, "rigs:rig_song", rig.pk, song.pk)
    page = Page(as_user(world.tech), url)
    assert "as usual: Guitar 1" in page.html
    page.client.post(url, page.sent | {"instrument": str(second), f"t-{second}": "E2 A2"})
    rows = SongSetting.objects.live().filter(rig=rig)
    assert {(row.what, row.unit_id, row.value) for row in rows} == {
        ("instrument", second, ""),
        ("tuning", second, "E2 A2"),
    }
    page = Page(as_user(world.tech), url)
    page.client.post(url, page.sent | {"instrument": ""})
    assert [row.what for row in SongSetting.objects.live().filter(rig=rig)] == ["tuning"]
    assert first != second


def test_somebody_else_set_the_same_thing(world: World, song: Song) -> None:
    page = open_page(world, song)
    world.record(difference(world.rig, song, "control", world.control, "4:00"))
    answer = page.client.post(page.url, page.sent | {gain(world): "1:00", "q-new1": "pedal on"})
    assert answer.status_code == 409
    html = answer.content.decode()
    assert "Head, Gain" in html
    page = Page(page.client, page.url, answer)
    assert page.sent["q-new1"] == "pedal on"
    page.client.post(page.url, page.sent | {f"choice-{gain(world)}": "typed"})
    found = {row.what: row.value for row in SongSetting.objects.live()}
    assert found == {"control": "1:00", "cue": "pedal on"}


def test_a_cue_taken_out_meanwhile_can_be_kept(world: World, song: Song) -> None:
    cue = difference(world.rig, song, "cue", value="pedal on")
    world.record(cue)
    page = open_page(world, song)
    other = open_page(world, song)
    other.client.post(other.url, other.sent | {f"q-{cue.part}": ""})
    answer = page.client.post(page.url, page.sent | {f"q-{cue.part}": "pedal off"})
    assert answer.status_code == 409
    page = Page(page.client, page.url, answer)
    chosen = {name.replace("asked-", "choice-"): "typed" for name in page.sent if "asked-" in name}
    answer = page.client.post(page.url, page.sent | chosen)
    assert answer.status_code == 302
    assert SongSetting.objects.live().get().value == "pedal off"


def test_others_changes_elsewhere_are_kept(world: World, song: Song) -> None:
    page = open_page(world, song)
    world.turn("1:00")
    page.client.post(page.url, page.sent | {gain(world): "3:00"})
    assert Control.objects.get().setting == "1:00"
    assert SongSetting.objects.live().get().value == "3:00"


def test_what_was_typed_about_a_retired_control_is_not_dropped(world: World, song: Song) -> None:
    from rigs.retire.services import retire_edits

    page = open_page(world, song)
    world.record(*retire_edits(world.control))
    answer = page.client.post(page.url, page.sent | {gain(world): "3:00"})
    assert "“Gain” is no longer in the rig" in answer.content.decode()


@pytest.mark.parametrize("role", ["player", "crew", "manager"])
def test_who_may_only_read_sees_no_form(world: World, song: Song, role: str) -> None:
    world.record(difference(world.rig, song, "control", world.control, "3:00"))
    page = open_page(world, song, role)
    assert "3:00" in page.html
    assert 'name="base"' not in page.html
    assert page.client.post(page.url, {}).status_code == 403


def test_the_rig_and_the_song_show_it(world: World, song: Song) -> None:
    make_song(world, "As ever", 2)
    world.record(difference(world.rig, song, "control", world.control, "3:00"))
    client = as_user(world.people["crew"])
    rig = client.get(at(world, "rig")).content.decode()
    assert "Per song" in rig
    assert "As ever" not in rig
    assert "usually 2:30" in client.get(song.get_absolute_url()).content.decode()
    whole = client.get(at(world, "rig_songs")).content.decode()
    assert "As ever" in whole
    assert "as usual" in whole
    past = client.get(at(world, "revision", 2)).content.decode()
    assert "Per song" in past


@pytest.mark.parametrize("name", ["rig", "rig_songs", "rig_song"])
def test_queries_do_not_grow(world: World, song: Song, name: str) -> None:
    world.record(difference(world.rig, song, "control", world.control, "3:00"))
    client = as_user(world.tech)
    parts = [song] if name == "rig_song" else []
    few = queries_of(client, at(world, name, *parts))
    songs = [make_song(world, f"Song {n}", n + 2) for n in range(59)]
    world.record(*(difference(world.rig, s, "control", world.control, "1:00") for s in songs))
    world.record(*(difference(world.rig, s, "cue", value="on") for s in songs))
    assert queries_of(client, at(world, name, *parts)) == few


def test_queries_of_a_song_do_not_grow_with_rigs(world: World, song: Song) -> None:
    client = as_user(world.tech)
    world.record(difference(world.rig, song, "input", world.input, "off"))
    few = queries_of(client, song.get_absolute_url())
    for _ in range(12):
        rig, (_, second) = guitars(world, DROP_C, STANDARD)
        edits = [difference(rig, song, "instrument", second)]
        record(rig, edits, author=world.tech, base=rig.head_number)
    assert queries_of(client, song.get_absolute_url()) == few


def test_unknown_songs_are_not_found(world: World, song: Song) -> None:
    client = as_user(world.tech)
    assert client.get(at(world, "rig_song", world.rig)).status_code == 404
    world.record(Set(str(world.rig.pk), "rig", {"retired": True}))
    assert client.get(at(world, "rig_song", song)).status_code == 200
