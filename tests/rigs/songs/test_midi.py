"""MIDI messages of songs. Ranges and channel modes: MIDI 1.0 Detailed Specification."""

from __future__ import annotations

from typing import Any
from uuid import UUID, uuid4

import pytest
from django.core.exceptions import ValidationError

from core.models import Section, Song
from rigs.changes.edits import Add, Set
from rigs.midi import program_text
from rigs.models import Revision, SongSetting
from rigs.songs.run_sheet import run_sheet
from rigs.songs.services import of_song, set_views_of
from rigs.songs.set_paper import _desk_rigs
from rigs.wording import describe
from tests.rigs.songs.band import make_song
from tests.support.pages import as_user
from tests.support.rig_pages import Page, at
from tests.support.world import World


@pytest.fixture
def song(world: World) -> Song:
    made = make_song(world, "Ninety Lamps", 1)
    Section.objects.create(song=made, name="Bridge")
    return made


@pytest.fixture
def keys(world: World) -> UUID:
    """A synthesiser on channel 3 that calls its first program 1."""
    pk = uuid4()
    fields = {"name": "Keys", "gear": "synth", "midi_channel": 3, "programs_from": "1"}
    world.record(Add(str(pk), "unit", fields))
    return pk


def message(song: Song, unit: UUID, **numbers: int | str) -> Add:
    about = {"song": str(song.pk), "what": "midi", "unit": str(unit)}
    return Add(str(uuid4()), "song_setting", {**about, **numbers})


def line(unit: UUID, **typed: str) -> dict[str, str]:
    return {f"m-new{unit.hex}-{name}": value for name, value in typed.items()}


@pytest.mark.parametrize(
    ("counted_from", "words"),
    [
        ("0", "program 11 (12 from 1)"),
        ("1", "program 12 (11 from 0)"),
        ("", "program 11 (12 from 1)"),
    ],
)
def test_a_program_is_said_both_ways(counted_from: str, words: str) -> None:
    assert program_text(11, counted_from) == words


@pytest.mark.parametrize(
    ("numbers", "field", "words"),
    [
        ({"program": 128}, "program", "A program is 0 to 127."),
        ({"program": 5, "channel": 0}, "channel", "A MIDI channel is 1 to 16."),
        ({"program": 5, "channel": 17}, "channel", "A MIDI channel is 1 to 16."),
        ({"program": 5, "bank_lsb": 128}, "bank_lsb", "A bank LSB is 0 to 127."),
        ({"controller": 128, "amount": 1}, "controller", "A control is 0 to 127."),
        ({"controller": 7, "amount": 128}, "amount", "A value of the control is 0 to 127."),
        ({"controller": 7}, "amount", "Say which value"),
        ({"amount": 7}, "controller", "Say which control"),
        ({"bank_msb": 1}, "program", "A bank counts once"),
        ({"program": 1, "controller": 7, "amount": 1}, "controller", "two messages"),
        ({}, "program", "Say which program"),
    ],
)
def test_the_gateway_refuses_what_is_no_message(
    world: World, song: Song, keys: UUID, numbers: dict[str, Any], field: str, words: str
) -> None:
    with pytest.raises(ValidationError) as refused:
        world.record(message(song, keys, **numbers))
    assert words in " ".join(refused.value.message_dict[field])
    assert not SongSetting.objects.exists()


@pytest.mark.parametrize("numbers", [{"program": 0}, {"program": 127, "channel": 16}])
def test_the_ends_of_the_ranges_are_taken(
    world: World, song: Song, keys: UUID, numbers: dict[str, int]
) -> None:
    world.record(message(song, keys, **numbers))
    assert SongSetting.objects.get().program == numbers["program"]


def test_numbers_belong_to_messages_alone(world: World, song: Song) -> None:
    cue = {"song": str(song.pk), "what": "cue", "value": "pedal on", "program": 3}
    with pytest.raises(ValidationError, match="does not go here"):
        world.record(Add(str(uuid4()), "song_setting", cue))


def test_a_message_is_typed_as_the_unit_counts(world: World, song: Song, keys: UUID) -> None:
    page = Page(as_user(world.tech), at(world, "rig_song", song))
    page.client.post(page.url, page.sent | line(keys, program="12", msb="0", lsb="2"))
    row = SongSetting.objects.get()
    assert (row.program, row.bank_msb, row.bank_lsb, row.channel) == (11, 0, 2, None)
    page = Page(page.client, page.url)
    assert page.sent[f"m-{row.pk}-program"] == "12"
    assert "channel 3, bank MSB 0 LSB 2, program 12 (11 from 0)" in page.html
    before = Revision.objects.count()
    assert page.send().status == 302
    assert Revision.objects.count() == before  # as it is shown, nothing is another


def test_a_message_is_changed_and_taken_out(world: World, song: Song, keys: UUID) -> None:
    made = message(song, keys, program=11)
    world.record(made)
    page = Page(as_user(world.tech), at(world, "rig_song", song))
    name = f"m-{made.part}-program"
    page.client.post(page.url, page.sent | {name: "13"})
    assert SongSetting.objects.live().get().program == 12
    rig = world.rig
    rig.refresh_from_db()
    said = [each.sentence for each in describe(rig, rig.revisions.latest("number").changes.all())]
    assert said == [
        "“Ninety Lamps”, MIDI to Keys, program: program 12 (11 from 0) → program 13 (12 from 0)"
    ]
    page = Page(page.client, page.url)
    page.client.post(page.url, page.sent | {name: ""})
    assert not SongSetting.objects.live().exists()


@pytest.mark.parametrize(
    ("typed", "field", "words"),
    [
        ({"program": "0"}, "program", "A program of “Keys” is 1 to 128."),
        ({"program": "129"}, "program", "A program of “Keys” is 1 to 128."),
        ({"program": "twelve"}, "program", "This is a whole number."),
        ({"program": "1", "channel": "17"}, "channel", "A MIDI channel is 1 to 16."),
        ({"control": "7"}, "value", "Say which value the control gets"),
        ({"at": "1:00"}, "program", "Say which program"),
    ],
)
def test_what_is_wrong_is_said_where_it_was_typed(
    world: World, song: Song, keys: UUID, typed: dict[str, str], field: str, words: str
) -> None:
    page = Page(as_user(world.tech), at(world, "rig_song", song))
    answer = page.client.post(page.url, page.sent | line(keys, **typed))
    errors = answer.context["form"].errors
    assert list(errors) == [f"m-new{keys.hex}-{field}"]
    assert words in str(errors)
    shown = Page(page.client, page.url, answer)
    assert shown.sent | line(keys, **typed) == shown.sent  # nothing typed is lost
    assert not SongSetting.objects.exists()


def test_a_message_taken_out_meanwhile_can_be_kept(world: World, song: Song, keys: UUID) -> None:
    made = message(song, keys, program=11)
    world.record(made)
    page = Page(as_user(world.tech), at(world, "rig_song", song))
    other = Page(as_user(world.tech), page.url)
    name = f"m-{made.part}-program"
    other.client.post(other.url, other.sent | {name: ""})
    answer = page.client.post(page.url, page.sent | {name: "20"})
    assert answer.status_code == 409
    page = Page(page.client, page.url, answer)
    chosen = {each.replace("asked-", "choice-"): "typed" for each in page.sent if "asked-" in each}
    assert page.client.post(page.url, page.sent | chosen).status_code == 302
    assert SongSetting.objects.live().get().program == 19


def test_gear_that_takes_no_midi_is_not_asked_about(world: World, song: Song) -> None:
    assert "MIDI message" not in Page(as_user(world.tech), at(world, "rig_song", song)).html


def test_run_sheet_and_the_page_of_the_desk_say_it(world: World, song: Song, keys: UUID) -> None:
    section = str(Section.objects.get().pk)
    world.record(
        message(song, keys, program=11),
        message(song, keys, controller=123, amount=0, section=section),
    )
    sheet = run_sheet(world.production)
    (part,) = sheet.songs[0].parts
    said = "channel 3, program 12 (11 from 0)"
    assert part.has_work
    assert [each.text for each in part.messages] == [said]
    # Within the song it is told where it happens, with what acts on the whole channel.
    (cue,) = part.cues
    assert cue.section == "Bridge"
    assert cue.text == "MIDI to Keys: channel 3, control 123 (channel mode: all notes off) to 0"
    assert f"MIDI to Keys: {said}" in _desk_rigs(sheet.songs[0], None)
    (view,) = set_views_of([world.rig]).values()
    shown = of_song(view, str(song.pk))
    assert shown is not None
    assert [each.name for each in shown.messages] == ["Keys"]


def test_messages_go_out_in_the_order_they_were_written(
    world: World, song: Song, keys: UUID
) -> None:
    controls = [91, 7, 74]
    world.record(
        *(message(song, keys, controller=c, amount=1, position=n) for n, c in enumerate(controls))
    )
    (part,) = run_sheet(world.production).songs[0].parts
    said = [f"channel 3, control {control} to 1" for control in controls]
    assert [each.text for each in part.messages] == said


def test_another_count_of_the_unit_moves_no_message(world: World, song: Song, keys: UUID) -> None:
    world.record(message(song, keys, program=11))
    world.record(Set(str(keys), "unit", {"programs_from": "0"}))
    assert SongSetting.objects.get().program == 11
    html = Page(as_user(world.tech), at(world, "rig_song", song)).html
    assert "program 11 (12 from 1)" in html
