"""What records do stands in the run sheet beside the words that the player signed."""

from __future__ import annotations

import pytest

from core.models import Player, Research, Song
from notes.models import Party, SignOff
from notes.signing.services import sign
from rigs.changes.edits import Set
from rigs.models import Rig
from rigs.revisions.record import create
from rigs.songs.run_sheet import run_sheet
from tests.rigs.paper.test_sheets import text_of
from tests.rigs.songs.band import make_song
from tests.support.pages import as_user, at
from tests.support.world import World


@pytest.fixture
def song(world: World) -> Song:
    song = make_song(world, "Alder Ebb", 1)
    tove = Player.objects.create(
        production=world.production, name="Tove", instrument="organ", position=9
    )
    noted = (None, "Leave room."), (tove, "The wheeze."), (world.player, "The thump.")
    for player, take in noted:
        Research.objects.create(
            song=song,
            player=player,
            take=take,
            release="First album",
            from_s=40,
            to_s=70,
            does="Far away.",
            written_by=world.engineer,
        )
    return song


def signed(world: World, words: str) -> None:
    world.record(Set(str(world.rig.pk), "rig", {"sound": words}))
    sign(
        rig=world.rig,
        party=Party.PLAYER,
        decision=SignOff.Decision.SIGNED,
        revision=world.rig.head_number,
        player=world.player,
    )


def test_each_player_has_what_records_do_and_everybody_comes_last(world: World, song: Song) -> None:
    [row] = run_sheet(world.production).songs
    assert [str(each.player or "everybody") for each in row.records] == [
        "Ines Halloran",
        "Tove",
        "everybody",
    ]


def test_the_signed_words_stand_beside_it_not_what_was_typed_since(
    world: World, song: Song
) -> None:
    signed(world, "A door in another room.")
    world.record(Set(str(world.rig.pk), "rig", {"sound": "Brighter."}))
    [heard] = run_sheet(world.production).songs[0].records[0].heard
    assert (heard.rig, heard.words.text, heard.words.signed) == (
        world.rig,
        "A door in another room.",
        True,
    )


def test_words_that_nobody_signed_are_said_not_to_be(world: World, song: Song) -> None:
    world.record(Set(str(world.rig.pk), "rig", {"sound": "Brighter."}))
    html = as_user(world.tech).get(at(world, "rigs:run_sheet")).content.decode()
    assert "Brighter." in html
    assert "Not signed" in html
    assert "Nobody has written down yet how Tove’s rig should sound." in html


def test_the_same_words_of_two_rigs_stand_once_and_of_the_main_rig(
    world: World, song: Song
) -> None:
    fly = Rig(
        production=world.production,
        player=world.player,
        name="A fly rig",
        variant="fly",
        sound="Thick.",
    )
    create(fly, author=world.tech)
    world.record(Set(str(world.rig.pk), "rig", {"sound": "Thick."}))
    sheet = run_sheet(world.production)
    assert sheet.rigs == (world.rig, fly)
    [heard] = sheet.songs[0].records[0].heard
    assert heard.rig == world.rig


def test_one_players_sheet_has_theirs_and_everybodys(world: World, song: Song) -> None:
    [row] = run_sheet(world.production, world.player).songs
    assert [each.player for each in row.records] == [world.player, None]


def test_paper_has_both_beside_each_other(world: World, song: Song) -> None:
    signed(world, "A door in another room.")
    answer = as_user(world.tech).get(at(world, "rigs:run_sheet_pdf"))
    text = " ".join(" ".join(text_of(answer.content)).split())
    for said in (
        "What the record does, beside the signed words",
        "Ines Halloran",
        "First album, 0:40 to 1:10",
        "The record: Far away.",
        "To take from it: The thump.",
        "“A door in another room.”",
        "signed by",
        "For everybody",
        "nothing is written down yet",
    ):
        assert said in text, said
