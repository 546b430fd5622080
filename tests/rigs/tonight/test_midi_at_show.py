"""MIDI messages of songs, channels and sessions that are other at one show."""

from __future__ import annotations

from typing import Any
from uuid import UUID, uuid4

import pytest
from django.test import Client

from core.models import Show, Song
from rigs.changes.edits import Add
from rigs.models import UnitAtShow
from rigs.revisions.read import live
from rigs.songs.run_sheet import run_sheet
from tests.rigs.shows.shows import make_show
from tests.rigs.songs.band import make_song
from tests.rigs.songs.test_midi import message
from tests.support.pages import at
from tests.support.rig_pages import Page
from tests.support.world import World


@pytest.fixture
def song(world: World) -> Song:
    return make_song(world, "Ninety Lamps", 1)


@pytest.fixture
def keys(world: World, song: Song) -> UUID:
    """A synthesiser on channel 3 that calls its first program 1; the song sends it two messages:
    program 12 as it counts, and control 7."""
    pk = uuid4()
    fields = {"name": "Keys", "gear": "synth", "midi_channel": 3, "programs_from": "1"}
    world.record(Add(str(pk), "unit", fields))
    world.record(
        message(song, pk, program=11),
        message(song, pk, controller=7, amount=0, position=1),
    )
    return pk


def sent_at(world: World, show: Show) -> list[str]:
    sheet = run_sheet(world.production, show=show)
    return [each.text for s in sheet.songs for part in s.parts for each in part.messages]


def part_of(world: World, **said: Any) -> str:
    (found,) = (
        part
        for part, known in live(world.rig).items()
        if known["kind"] == "song_setting" and all(known.get(n) == v for n, v in said.items())
    )
    return found


def test_numbers_differ_at_one_show_and_the_run_sheet_has_them(
    world: World, show: Show, tech: Client, keys: UUID
) -> None:
    documented = sent_at(world, show)
    program, control = part_of(world, program=11), part_of(world, controller=7)
    page = Page(tech, at(world, "rigs:unit_set_tonight", show.pk, keys))
    # 12 is shown, as the unit counts from 1.
    assert page.sent[f"m-{program}-program"] == "12"
    sent = page.send(
        **{f"m-{program}-program": "1", f"m-{control}-sent": "no", "midi_channel": "5"}
    )
    assert sent.status == 302
    row = UnitAtShow.objects.get()
    assert row.messages == {program: {"program": 0}, control: None}
    assert sent_at(world, show) == ["channel 5, program 1 (0 from 0)"]
    assert documented[0] == "channel 3, program 12 (11 from 0)"
    html = " ".join(tech.get(at(world, "rigs:show_gear", show.pk)).content.decode().split())
    assert "MIDI in “Ninety Lamps”" in html
    assert "documented: channel 3, program 12 (11 from 0)" in html
    assert "not sent" in html
    # Opened again it begins with tonight's, and the same again is no change.
    again = Page(tech, at(world, "rigs:unit_set_tonight", show.pk, keys))
    assert again.sent[f"m-{program}-program"] == "1"
    assert sent_at(world, make_show(world, "Elsewhere")) == documented
    tech.post(at(world, "rigs:unit_as_documented", show.pk, keys))
    assert sent_at(world, show) == documented


def test_what_cannot_be_sent_is_told_at_its_field(
    world: World, show: Show, tech: Client, keys: UUID
) -> None:
    program = part_of(world, program=11)
    page = Page(tech, at(world, "rigs:unit_set_tonight", show.pk, keys))
    for typed, told in (
        ({"program": "129"}, "A program of “Keys” is 1 to 128."),
        ({"program": "", "msb": ""}, "Say which program, or which control and its value."),
        ({"channel": "17"}, "A MIDI channel is 1 to 16."),
    ):
        names = {"msb": "bank_msb"}
        fields = {f"m-{program}-{names.get(n, n)}": value for n, value in typed.items()}
        sent = page.send(**fields)
        assert told in sent.html
        assert not UnitAtShow.objects.exists()


def test_a_session_differs_and_another_unit_has_its_own_programs(
    world: World, show: Show, tech: Client, keys: UUID
) -> None:
    machine = uuid4()
    fields = {"name": "Machine A", "gear": "playback", "session": "Spring set, version 14"}
    world.record(Add(str(machine), "unit", fields))
    page = Page(tech, at(world, "rigs:unit_set_tonight", show.pk, machine))
    assert page.send(session="Spring set, version 15").status == 302
    html = tech.get(at(world, "rigs:show_gear", show.pk)).content.decode()
    assert "Spring set, version 15" in html
    assert "documented: Spring set, version 14" in html
    program = part_of(world, program=11)
    came = Page(tech, at(world, "rigs:unit_replaced_tonight", show.pk, keys))
    typed = {"gear": "synth", "model": "Alder", "why": "hire", f"m-{program}-program": "40"}
    assert came.send(**typed).status == 302
    assert any("program 40" in text for text in sent_at(world, show))
