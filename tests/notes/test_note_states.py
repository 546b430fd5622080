"""Open → led to a change → settled, always derived from what followed."""

from __future__ import annotations

from typing import Any

import pytest
from django.db.models import OuterRef

from core.models import Production
from notes.journal.services import settle
from notes.models import Note
from notes.states import NoteState, in_state, unsettled, unsettled_of, with_state
from tests.support.listening import change_for, hear, hear_after, turn_for
from tests.support.world import World


def state_of(note: Note) -> Any:
    return with_state(Note.objects.filter(pk=note.pk)).get().state  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("verdict", "state"),
    [("adjust", NoteState.OPEN), ("reject", NoteState.OPEN), ("keep", NoteState.SETTLED)],
)
def test_a_new_note_is_open_unless_it_says_keep(
    world: World, verdict: str, state: NoteState
) -> None:
    assert state_of(hear(world, verdict=verdict)) == state


def test_a_note_that_led_to_a_change_says_which(world: World) -> None:
    note = hear(world)
    revision = change_for(world, note)
    found = with_state(Note.objects.all()).get()
    assert (found.state, found.led_to_number, found.led_to_rig, found.led_to_revision) == (  # type: ignore[attr-defined]
        NoteState.LED_TO_CHANGE,
        2,
        world.rig.pk,
        revision.pk,
    )


@pytest.mark.parametrize(
    ("outcome", "verdict", "state"),
    [
        ("helped", "adjust", NoteState.SETTLED),
        ("helped", "keep", NoteState.SETTLED),
        ("same", "keep", NoteState.SETTLED),
        ("same", "adjust", NoteState.LED_TO_CHANGE),
        ("worse", "reject", NoteState.LED_TO_CHANGE),
    ],
)
def test_what_is_heard_after_the_change_settles_it_or_not(
    world: World, outcome: str, verdict: str, state: NoteState
) -> None:
    note = hear(world)
    hear_after(world, change_for(world, note), outcome, verdict=verdict)
    assert state_of(note) == state


def test_the_last_that_was_heard_counts(world: World) -> None:
    note = hear(world)
    revision = change_for(world, note)
    hear_after(world, revision, "helped")
    hear_after(world, revision, "worse", words="Gone again at the show.")
    assert state_of(note) == NoteState.LED_TO_CHANGE


def test_another_change_because_of_it_waits_for_its_own_outcome(world: World) -> None:
    note = hear(world)
    hear_after(world, change_for(world, note), "helped")
    turn_for(world, "3:00", note)
    found = with_state(Note.objects.filter(pk=note.pk)).get()
    assert (found.state, found.led_to_number) == (NoteState.LED_TO_CHANGE, 3)  # type: ignore[attr-defined]


def test_words_settle_a_note_without_a_change(world: World) -> None:
    note = hear(world)
    settle(note=note, words="It was the room.", by=world.people["player"])
    assert state_of(note) == NoteState.SETTLED


def test_a_change_because_of_one_note_leaves_the_others_open(world: World) -> None:
    behind, other = hear(world), hear(world, "Too quiet.")
    change_for(world, behind)
    assert (state_of(behind), state_of(other)) == (NoteState.LED_TO_CHANGE, NoteState.OPEN)


def test_unsettled_are_those_that_wait(world: World) -> None:
    waits, led, done = hear(world), hear(world, "Muddy."), hear(world, verdict="keep")
    change_for(world, led)
    assert set(unsettled(Note.objects.all())) == {waits, led}
    assert done not in unsettled(Note.objects.all())


@pytest.mark.parametrize("count", [1, 10])
def test_states_of_a_list_cost_one_query(
    world: World, count: int, django_assert_num_queries: Any
) -> None:
    for at in range(count):
        hear_after(world, turn_for(world, f"{9 + at % 3}:30", hear(world)), "same")
    with django_assert_num_queries(1):
        states = [note.state for note in with_state(Note.objects.all())]  # type: ignore[attr-defined]
    assert states.count(NoteState.LED_TO_CHANGE) == count


def test_asking_for_a_state_finds_what_the_state_says(world: World) -> None:
    hear(world)
    hear(world, verdict="keep")
    settle(note=hear(world), words="It was the room.", by=world.people["player"])
    for turn, outcome in enumerate(("helped", "same", "worse", "")):
        note = hear(world)
        revision = turn_for(world, f"{turn + 1}:00", note)
        if outcome:
            hear_after(world, revision, outcome)
    told = {note.pk: note.state for note in with_state(Note.objects.all())}  # type: ignore[attr-defined]
    for state in NoteState:
        found = in_state(with_state(Note.objects.all()), state)
        assert {note.pk for note in found} == {key for key, each in told.items() if each == state}
        assert found
    waiting = {key for key, each in told.items() if each != NoteState.SETTLED}
    assert {note.pk for note in unsettled(Note.objects.all())} == waiting
    there = world.production.pk
    counted = Production.objects.annotate(
        all=unsettled_of(OuterRef("pk"), 100), some=unsettled_of(OuterRef("pk"), 2)
    ).get(pk=there)
    assert (vars(counted)["all"], vars(counted)["some"]) == (len(waiting), 2)
