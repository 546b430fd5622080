"""Trials: what is heard side by side, and what deciding does."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from notes.models import Alternative, Note, Trial
from notes.states import NoteState, with_state
from notes.trials.decide import choose, leave_unchanged
from notes.trials.services import TrialDecided, add_alternative, give_verdict, open_trial
from rigs.models import Input, Revision
from rigs.revisions.record import Conflict
from tests.support.listening import hear, heard_alternative, open_a_trial
from tests.support.world import HIRE, World, make_device, make_world


def verdicts(trial: Trial) -> dict[str, str]:
    return {str(a.device): a.verdict for a in trial.alternatives.select_related("device")}


def test_choosing_changes_the_input_with_the_decision_and_the_motives_as_reason(
    world: World,
) -> None:
    motive = hear(world)
    trial = open_a_trial(world, motive)
    chosen = heard_alternative(world, trial, world.other_mic)
    trial = choose(alternative=chosen, words="Body stays, boom goes.", by=world.tech, base=1)
    revision = Revision.objects.get(number=2)
    decision = Note.objects.exclude(pk=motive.pk).get()
    assert Input.objects.get().device == world.other_mic
    assert trial.revision == revision
    assert {link.note for link in revision.because_of.all()} == {motive, decision}
    assert (decision.verdict, decision.reading) == ("keep", "Body stays, boom goes.")
    assert list(decision.inputs.all()) == [world.input]
    assert revision.reason_words == "Body stays, boom goes."


def test_what_was_heard_and_not_chosen_is_rejected_with_its_words(world: World) -> None:
    trial = open_a_trial(world)
    third = make_device(world.production, "Selvage")
    chosen = heard_alternative(world, trial, world.other_mic)
    heard_alternative(world, trial, world.mic, words="Woolly.")
    add_alternative(trial=trial, device=third)
    choose(alternative=chosen, words="Clear.", by=world.tech, base=1)
    assert verdicts(trial) == {
        "Corvane Eskvane 4": "chosen",
        "Corvane Hollow 2": "rejected",
        "Corvane Selvage": "",
    }
    assert trial.alternatives.get(device=world.mic).words == "Woolly."


def test_a_placement_goes_with_the_choice_and_an_empty_one_leaves_it(world: World) -> None:
    trial = open_a_trial(world)
    moved = add_alternative(
        trial=trial,
        device=world.mic,
        placement={"aimed_at": "cone centre", "distance_m": Decimal("0.12"), "angle_deg": None},
    )
    choose(alternative=moved, words="Further away.", by=world.tech, base=1)
    found = Input.objects.get()
    assert (found.aimed_at, found.distance_m, found.angle_deg) == (
        "cone centre",
        Decimal("0.12"),
        Decimal("20"),
    )
    assert found.reference_point == "grille"


def test_choosing_what_is_there_already_changes_nothing_and_is_decided(world: World) -> None:
    trial = open_a_trial(world)
    same = heard_alternative(world, trial, world.mic)
    trial = choose(alternative=same, words="It was right.", by=world.tech, base=1)
    assert (trial.revision, trial.is_open, Revision.objects.count()) == (None, False, 1)


def test_keeping_rejects_what_was_heard_and_changes_nothing(world: World) -> None:
    motive = hear(world)
    trial = open_a_trial(world, motive)
    heard_alternative(world, trial, world.other_mic)
    trial = leave_unchanged(trial=trial, words="Ours is better.", by=world.tech)
    assert verdicts(trial) == {"Corvane Eskvane 4": "rejected"}
    assert (trial.decision, trial.decided_by, trial.revision) == (
        "Ours is better.",
        world.tech,
        None,
    )
    assert with_state(Note.objects.all()).get().state == NoteState.OPEN  # type: ignore[attr-defined]


def test_keeping_settles_the_motives_if_asked(world: World) -> None:
    motive = hear(world)
    leave_unchanged(
        trial=open_a_trial(world, motive),
        words="Ours is better.",
        by=world.tech,
        settle_notes=True,
    )
    motive.refresh_from_db()
    assert motive.settled_words == "Ours is better."


def test_a_decision_needs_words_and_writes_nothing_without(world: World) -> None:
    trial = open_a_trial(world)
    chosen = heard_alternative(world, trial, world.other_mic)
    for decide in (
        lambda: choose(alternative=chosen, words=" ", by=world.tech, base=1),
        lambda: leave_unchanged(trial=trial, words="", by=world.tech),
    ):
        with pytest.raises(ValidationError, match="Say in a few words why"):
            decide()
    assert Trial.objects.get().is_open


def test_a_decided_trial_stays_as_it_is(world: World) -> None:
    trial = open_a_trial(world)
    chosen = heard_alternative(world, trial, world.other_mic)
    leave_unchanged(trial=trial, words="Ours.", by=world.tech)
    for change in (
        lambda: choose(alternative=chosen, words="Theirs.", by=world.tech, base=1),
        lambda: leave_unchanged(trial=trial, words="Ours!", by=world.tech),
        lambda: add_alternative(trial=trial, device=world.mic),
        lambda: give_verdict(alternative=chosen, verdict="possible", words="Hm."),
    ):
        with pytest.raises(TrialDecided) as caught:
            change()
        assert caught.value.message == (
            f"{world.tech} has decided this trial: “Ours.” It stays as it is."
        )
    assert Input.objects.get().device == world.mic


def test_a_choice_made_on_an_older_state_conflicts_and_writes_nothing(world: World) -> None:
    trial = open_a_trial(world)
    chosen = heard_alternative(world, trial, world.other_mic)
    world.swap(make_device(world.production, "Selvage"), HIRE)
    with pytest.raises(Conflict):
        choose(alternative=chosen, words="Clear.", by=world.tech, base=1)
    trial.refresh_from_db()
    assert (trial.is_open, Note.objects.count(), Revision.objects.count()) == (True, 0, 2)
    assert verdicts(trial) == {"Corvane Eskvane 4": "possible"}


@pytest.mark.parametrize(
    ("verdict", "words", "message"),
    [
        ("rejected", " ", "Say in a few words what was heard."),
        ("chosen", "Fine.", "Say whether it is possible or rejected."),
        ("", "Fine.", "Say whether it is possible or rejected."),
    ],
)
def test_a_verdict_is_one_of_two_and_has_words(
    world: World, verdict: str, words: str, message: str
) -> None:
    alternative = add_alternative(trial=open_a_trial(world), device=world.mic)
    with pytest.raises(ValidationError) as caught:
        give_verdict(alternative=alternative, verdict=verdict, words=words)
    assert caught.value.messages == [message]
    assert Alternative.objects.get().verdict == ""


def test_another_productions_device_and_notes_are_refused(world: World) -> None:
    other = make_world("Elsewhere")
    with pytest.raises(ValidationError, match="no such microphone or DI"):
        add_alternative(trial=open_a_trial(world), device=other.mic)
    with pytest.raises(ValidationError, match="no such note"):
        open_a_trial(world, hear(other))


def test_a_retired_device_is_not_tried(world: World) -> None:
    world.mic.retire()
    with pytest.raises(ValidationError, match="Hollow 2 is retired"):
        add_alternative(trial=open_a_trial(world), device=world.mic)


def test_a_trial_needs_a_question(world: World) -> None:
    with pytest.raises(ValidationError, match="This field cannot be blank"):
        open_trial(input=world.input, question="  ", by=world.tech)
