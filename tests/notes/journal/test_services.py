"""Writing, rewording, following up and settling notes: what is kept, what is refused."""

from __future__ import annotations

from typing import Any

import pytest
from django.core.exceptions import ValidationError

from core.models import Section, Song
from notes.journal.services import NoteContent, NotEditable, follow_up, reword, settle, write_note
from notes.models import Note
from tests.support.listening import change_for, hear, hear_after
from tests.support.world import HIRE, World, make_rig, make_world


def errors_of(world: World, **heard: Any) -> dict[str, list[str]]:
    with pytest.raises(ValidationError) as caught:
        write_note(
            rig=world.rig, heard=NoteContent(**({"verdict": "adjust"} | heard)), by=world.engineer
        )
    assert not Note.objects.exists()
    return caught.value.message_dict


def test_a_note_keeps_the_words_apart_from_the_reading(world: World) -> None:
    note = hear(world, " I vanish. ", reading="Build-up near 200 Hz.", units=[world.unit])
    note.refresh_from_db()
    assert (note.words, note.reading) == ("I vanish.", "Build-up near 200 Hz.")
    assert (note.said_by_player, note.written_by) == (world.player, world.engineer)
    assert list(note.inputs.all()) == [world.input]
    assert list(note.units.all()) == [world.unit]


def test_a_note_remembers_the_rig_as_heard_even_if_the_object_is_old(world: World) -> None:
    old = type(world.rig).objects.get(pk=world.rig.pk)
    world.turn("3:00")
    assert (
        write_note(
            rig=old, heard=NoteContent(verdict="keep", words="Good."), by=world.tech
        ).heard_at
        == 2
    )


def test_a_section_brings_its_song(world: World) -> None:
    song = Song.objects.create(production=world.production, title="Alder Ebb")
    bridge = Section.objects.create(song=song, name="bridge")
    assert hear(world, section=bridge).song == song


def test_nothing_heard_is_no_note(world: World) -> None:
    assert errors_of(world, words="  ") == {
        "words": [
            "Say what was heard, in words or in a voice memo, or tick what the verdict is about: "
            "then words may be left out."
        ]
    }


def test_two_speakers_are_one_too_many(world: World) -> None:
    assert errors_of(
        world, words="Boomy.", said_by_player=world.player, said_by_name="Monitor desk"
    ) == {"said_by_name": ["Either a musician said it or somebody else; name one."]}


def test_a_speaker_without_words_is_refused(world: World) -> None:
    assert errors_of(world, reading="Boomy.", said_by_name="Monitor desk") == {
        "said_by_name": ["This names who said something, but there are no words of theirs."]
    }


def test_a_reading_alone_is_nobodys_words(world: World) -> None:
    note = hear(world, "", reading="Build-up near 200 Hz.")
    assert (note.said_by_player, note.said_by_name) == (None, "")


def test_a_section_of_another_song_is_refused(world: World) -> None:
    one = Song.objects.create(production=world.production, title="One")
    two = Song.objects.create(production=world.production, title="Two")
    verse = Section.objects.create(song=two, name="verse")
    assert errors_of(world, words="Boomy.", song=one, section=verse) == {
        "section": ["“verse” is a section of “Two”."]
    }


def test_what_belongs_elsewhere_is_refused(world: World) -> None:
    other = make_world("Elsewhere")
    song = Song.objects.create(production=other.production, title="Theirs")
    assert errors_of(
        world,
        words="Boomy.",
        inputs=[other.input],
        units=[other.unit],
        song=song,
        said_by_player=other.player,
    ) == {
        "inputs": ["This rig has no such input."],
        "units": ["This rig has no such unit."],
        "song": ["This production has none such."],
        "said_by_player": ["This production has none such."],
    }


def test_an_input_of_another_rig_is_refused(world: World) -> None:
    spare = make_rig(world.production, world.player, world.tech, "Spare")
    with pytest.raises(ValidationError, match="This rig has no such input"):
        write_note(
            rig=spare,
            heard=NoteContent(verdict="keep", words="Good.", inputs=[world.input]),
            by=world.tech,
        )


def test_an_unknown_verdict_is_refused(world: World) -> None:
    assert "verdict" in errors_of(world, words="Boomy.", verdict="perhaps")


def test_its_author_rewords_a_note(world: World) -> None:
    note = hear(world)
    reword(
        note=note,
        by=world.engineer,
        heard=NoteContent(verdict="reject", words="Way too boomy.", units=[world.unit]),
    )
    note.refresh_from_db()
    assert (note.words, note.verdict, note.version) == ("Way too boomy.", "reject", 2)
    assert list(note.inputs.all()) == []
    assert list(note.units.all()) == [world.unit]


def test_nobody_else_rewords_it(world: World) -> None:
    note = hear(world)
    with pytest.raises(NotEditable) as caught:
        reword(note=note, heard=NoteContent(verdict="keep", words="Fine."), by=world.tech)
    assert caught.value.message == (
        f"Only {world.engineer} can reword this note. Write one of your own beside it."
    )


def test_a_note_that_a_change_rests_on_stays_as_it_was_read(world: World) -> None:
    note = hear(world)
    change_for(world, note)
    with pytest.raises(NotEditable) as caught:
        reword(note=note, heard=NoteContent(verdict="keep", words="Fine."), by=world.engineer)
    assert caught.value.message == (
        "Change 2 was made because of this note, so its words stay as they are. "
        "Write a follow-up instead."
    )
    note.refresh_from_db()
    assert note.words == "Too boomy."


def test_a_follow_up_listens_to_the_change(world: World) -> None:
    revision = change_for(world, hear(world))
    after = hear_after(world, revision, "worse", words="Now it clanks.")
    assert (after.follows, after.outcome, after.heard_at) == (revision, "worse", 2)
    assert after.rig == world.rig


def test_a_follow_up_needs_an_outcome(world: World) -> None:
    revision = world.swap(world.other_mic, HIRE)
    assert revision is not None
    with pytest.raises(ValidationError, match="Say how it turned out"):
        follow_up(
            revision=revision,
            heard=NoteContent(verdict="keep", words="Hm."),
            outcome="",
            by=world.engineer,
        )


def test_settling_keeps_who_when_and_why(world: World) -> None:
    note = settle(note=hear(world), words=" It was the room. ", by=world.tech)
    assert (note.settled_words, note.settled_by) == ("It was the room.", world.tech)
    assert note.settled_at is not None


def test_settling_needs_words(world: World) -> None:
    with pytest.raises(ValidationError, match="Say in a few words why nothing needs to change"):
        settle(note=hear(world), words=" ", by=world.tech)


def test_a_note_is_settled_once(world: World) -> None:
    note = hear(world)
    settle(note=note, words="It was the room.", by=world.tech)
    with pytest.raises(ValidationError) as caught:
        settle(note=note, words="Mine.", by=world.engineer)
    assert caught.value.messages == [f"{world.tech} has just settled it: “It was the room.”"]
