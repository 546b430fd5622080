"""Notes and trials for tests, written through the services."""

from __future__ import annotations

from typing import Any

from notes.journal.reasons import change_because
from notes.journal.services import NoteContent, follow_up, write_note
from notes.models import Alternative, Note, Trial
from notes.trials.services import add_alternative, give_verdict, open_trial
from rigs.changes.edits import Set
from rigs.models import Device, Revision
from tests.support.world import World


def hear(world: World, words: str = "Too boomy.", **more: Any) -> Note:
    """A note by the engineer, in the player's words, that asks for something."""
    by = more.pop("by", world.engineer)
    values = {"verdict": "adjust", "said_by_player": world.player, "inputs": [world.input]} | more
    return write_note(rig=world.rig, heard=NoteContent(words=words, **values), by=by)


def change_for(world: World, *notes: Note, device: Device | None = None) -> Revision:
    """The microphone is swapped because of `notes`."""
    world.rig.refresh_from_db()
    edit = Set(str(world.input.pk), "input", {"device": str((device or world.other_mic).pk)})
    revision = change_because(
        world.rig,
        [edit],
        notes=notes,
        words="Less of the box.",
        author=world.tech,
        base=world.rig.head_number,
    )
    assert revision is not None
    return revision


def turn_for(world: World, setting: str, *notes: Note) -> Revision:
    """A control is turned because of `notes`."""
    world.rig.refresh_from_db()
    edit = Set(str(world.control.pk), "control", {"setting": setting})
    revision = change_because(
        world.rig, [edit], notes=notes, words="", author=world.tech, base=world.rig.head_number
    )
    assert revision is not None
    return revision


def hear_after(world: World, revision: Revision, outcome: str, **more: Any) -> Note:
    verdict = more.pop("verdict", "keep" if outcome == "helped" else "adjust")
    heard = NoteContent(words=more.pop("words", "Better."), verdict=verdict, **more)
    return follow_up(revision=revision, heard=heard, outcome=outcome, by=world.engineer)


def open_a_trial(world: World, *notes: Note, **more: Any) -> Trial:
    question = more.pop("question", "Less boom without losing the body?")
    return open_trial(
        input=world.input, question=question, by=world.engineer, because_of=notes, **more
    )


def heard_alternative(
    world: World, trial: Trial, device: Device, verdict: str = "possible", words: str = "Clearer."
) -> Alternative:
    alternative = add_alternative(trial=trial, device=device)
    return give_verdict(alternative=alternative, verdict=verdict, words=words)
