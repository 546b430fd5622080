"""What a search finds of what people heard, tried, signed, handed over and asked."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from django.core.management import call_command

from core.models import Leg, Research, SearchEntry, Section, Song
from core.search.backend import search
from core.search.sources import reindex
from notes.handover import services as handover
from notes.journal.services import NoteContent, reword, settle, write_note
from notes.models import Note, Party, SignOff, Trial
from notes.signing.services import sign
from notes.trials.decide import choose, leave_unchanged
from notes.trials.services import add_alternative, give_verdict, open_trial
from rigs.changes.edits import Set
from rigs.search.index import catch_up
from tests.support.world import World


def titles(world: World, text: str, kind: str | None = None) -> list[str]:
    hits = search(world.production, text, kind).hits
    return ["".join(piece.text for piece in hit.title) for hit in hits]


def heard(world: World, words: str = "Like a wet cardboard box.", **more: Any) -> Note:
    values = {"verdict": "adjust", "words": words, "said_by_player": world.player} | more
    return write_note(rig=world.rig, heard=NoteContent(**values), by=world.engineer)


def tried(world: World) -> Trial:
    trial = open_trial(input=world.input, question="Less mud without a fizz?", by=world.engineer)
    alternative = add_alternative(trial=trial, device=world.other_mic)
    give_verdict(alternative=alternative, verdict="possible", words="Airy, a little glassy.")
    return trial


def a_leg(world: World) -> Leg:
    return Leg.objects.create(
        production=world.production,
        name="Northern leg",
        starts_on=date(2026, 9, 1),
        ends_on=date(2026, 9, 30),
    )


def test_a_note_is_found_by_its_words_and_its_reading(world: World) -> None:
    heard(world, reading="Too much at 250 Hz.")
    assert titles(world, "cardboard") == titles(world, "250 hz") == ["Bass main"]
    assert titles(world, "cardboard", SearchEntry.Kind.NOTE) == ["Bass main"]
    assert titles(world, "cardboard halloran") == ["Bass main"]


def test_what_a_record_does_is_found(world: World) -> None:
    song = Song.objects.create(production=world.production, title="Quarry Lights")
    entry = Research.objects.create(
        song=song,
        player=world.player,
        release="First album",
        does="A harmonium, far away.",
        take="The distance.",
        written_by=world.engineer,
    )
    found = ["What the record does: Quarry Lights, for Ines Halloran"]
    assert titles(world, "harmonium") == titles(world, "first album") == found
    entry.take = "The wheeze."
    entry.save()
    assert titles(world, "wheeze") == found
    assert titles(world, "distance") == []
    reindex(world.production)
    assert titles(world, "wheeze") == found


def test_a_note_is_found_by_its_song(world: World) -> None:
    song = Song.objects.create(production=world.production, title="Quarry Lights")
    section = Section.objects.create(song=song, name="Bridge")
    note = heard(world, song=song, section=section)
    (hit,) = search(world.production, "quarry", SearchEntry.Kind.NOTE).hits
    assert "".join(piece.text for piece in hit.title) == "Bass main, “Quarry Lights”, Bridge"
    assert hit.path == note.get_absolute_url()
    assert hit.at == note.written_at


def test_a_reworded_note_is_found_by_its_new_words(world: World) -> None:
    note = heard(world)
    reword(note=note, heard=NoteContent(verdict="adjust", words="Boxy."), by=world.engineer)
    assert titles(world, "boxy") == ["Bass main"]
    assert titles(world, "cardboard") == []


def test_why_a_note_was_settled_is_found(world: World) -> None:
    settle(note=heard(world), words="It was the curtain.", by=world.engineer)
    assert titles(world, "curtain") == ["Bass main"]


def test_a_trial_is_found_by_its_question_and_what_was_heard(world: World) -> None:
    tried(world)
    for text in ("mud", "glassy", "eskvane glassy", "bass mic fizz"):
        assert titles(world, text) == ["Trial: Less mud without a fizz?"], text


def test_a_decision_is_found_with_the_verdicts(world: World) -> None:
    leave_unchanged(trial=tried(world), words="Nobody heard a difference.", by=world.engineer)
    assert titles(world, "nobody rejected") == ["Trial: Less mud without a fizz?"]


def test_what_a_trial_chose_is_found_as_a_change(world: World) -> None:
    alternative = tried(world).alternatives.get()
    choose(alternative=alternative, words="Tames the wool.", by=world.engineer, base=1)
    found = titles(world, "wool")
    assert sorted(found) == [
        "Bass main",
        "Change 2 of Bass main",
        "Trial: Less mud without a fizz?",
    ]
    assert titles(world, "wool chosen") == ["Trial: Less mud without a fizz?"]


def test_the_words_of_a_signature_are_found(world: World) -> None:
    words = "Not before the hum is gone."
    sign(
        rig=world.rig,
        party=Party.TECH,
        decision=SignOff.Decision.WITHHELD,
        words=words,
        revision=1,
        user=world.tech,
    )
    assert titles(world, "hum") == [f"Bass main: withheld by {world.tech.name}"]


def test_a_signature_without_words_is_not_listed(world: World) -> None:
    sign(
        rig=world.rig,
        party=Party.TECH,
        decision=SignOff.Decision.SIGNED,
        revision=1,
        user=world.tech,
    )
    assert titles(world, f"signed {world.tech.name}") == []


def test_a_handover_is_found_by_what_it_says(world: World) -> None:
    made = handover.handover_of(a_leg(world))
    made.opening, made.cautions = "Mind the parrot.", "The rotor has no guard."
    made.save()
    assert titles(world, "parrot") == titles(world, "rotor") == ["Handover: Northern leg"]


def test_a_question_is_found_with_its_answers(world: World) -> None:
    leg = a_leg(world)
    question = handover.ask(
        leg=leg, user=world.engineer, words="Which fuse does it take?", player=world.player
    )
    handover.answer(question=question, user=world.tech, words="The slow one from the tin.")
    expected = ["Question, Ines Halloran, Northern leg"]
    assert titles(world, "fuse") == titles(world, "tin fuse") == expected


def rows() -> list[tuple[Any, ...]]:
    found = SearchEntry.objects.order_by("kind", "subject")
    return list(found.values_list("kind", "subject", "title", "body", "path"))


def test_rebuilding_gives_what_keeping_up_gave(world: World) -> None:
    leg = a_leg(world)
    heard(world)
    leave_unchanged(trial=tried(world), words="Nobody heard a difference.", by=world.engineer)
    question = handover.ask(leg=leg, user=world.engineer, words="Which fuse?", player=None)
    handover.answer(question=question, user=world.tech, words="The slow one.")
    catch_up(world.production)
    kept = rows()
    SearchEntry.objects.all().delete()
    call_command("reindex", verbosity=0)
    assert rows() == kept


@pytest.mark.parametrize("size", [1, 8])
def test_rebuilding_costs_the_same_for_any_number_of_notes(
    world: World, django_assert_num_queries: Any, size: int
) -> None:
    leg = a_leg(world)
    for number in range(size):
        heard(world, f"Words {number}.")
        tried(world)
        question = handover.ask(leg=leg, user=world.tech, words=f"Why {number}?", player=None)
        handover.answer(question=question, user=world.tech, words="Because.")
    with django_assert_num_queries(154):
        reindex(world.production)


def test_what_was_heard_is_found_by_the_new_name_of_its_song(world: World) -> None:
    song = Song.objects.create(production=world.production, title="Quarry Lights")
    section = Section.objects.create(song=song, name="Bridge")
    heard(world, song=song, section=section)
    Research.objects.create(song=song, take="The distance.", written_by=world.engineer)
    song.title = "Harbour Lamps"
    song.save()
    section.name = "Outro"
    section.save()
    assert titles(world, "quarry") == titles(world, "bridge") == []
    assert titles(world, "harbour", SearchEntry.Kind.NOTE) == ["Bass main, “Harbour Lamps”, Outro"]
    assert titles(world, "harbour distance") == [
        "What the record does: Harbour Lamps, for everybody"
    ]


def test_what_was_heard_is_found_by_the_new_names_of_its_rig_and_its_player(world: World) -> None:
    heard(world)
    assert titles(world, "cardboard") == ["Bass main"]
    world.record(Set(str(world.rig.pk), "rig", {"name": "Low end"}))
    assert titles(world, "cardboard") == ["Low end"]
    world.player.name = "Tove Ash"
    world.player.save()
    assert titles(world, "cardboard tove") == ["Low end"]
    assert titles(world, "cardboard halloran") == []


def test_a_save_that_keeps_the_name_puts_nothing_in(
    world: World, django_assert_num_queries: Any
) -> None:
    song = Song.objects.create(production=world.production, title="Quarry Lights")
    heard(world, song=song)
    song.tempo_bpm = 90
    with django_assert_num_queries(5):  # the old name; the save; three of the log
        song.save(update_fields=["tempo_bpm"])
