"""Decide a trial: choose an alternative, which changes the rig, or keep what was there."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from types import MappingProxyType
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from core.models import User
from notes.journal.reasons import change_because
from notes.journal.services import NoteContent, settle, write_note
from notes.models import Alternative, Note, Trial
from notes.states import unsettled
from notes.trials.services import check_in_use, close, lock_open, placement_fields
from rigs.changes.edits import Set
from rigs.models.parts import plain_value
from rigs.revisions.swaps import swap_of
from rigs.swaps import Swap


@transaction.atomic
def choose(
    *,
    alternative: Alternative,
    words: str,
    by: User,
    base: int,
    decided: Mapping[str, Any] = MappingProxyType({}),
) -> Trial:
    """Take `alternative`: the input gets its device and placement, through the gateway.

    `base` is the number of the rig's change that the decision was made on; `decided` says what
    becomes of phantom power, pad and gain where they were set for the old device. The words of the
    decision become a listening note, which with the notes behind the trial is the reason.
    Raises TrialDecided, Conflict, SwapUndecided, ValidationError. All or nothing.
    """
    trial = lock_open(alternative.trial)
    _need(words)
    # It may have been retired since it was tried.
    check_in_use(alternative.device)
    # Before the change, which names this note among its reasons.
    decision = _decision_note(trial, words, by)
    trial.revision = change_because(
        trial.rig,
        [edit_for(alternative, trial, decided)],
        notes=[*trial.because_of.all(), decision],
        words=words,
        author=by,
        base=base,
    )
    close(trial, chosen=alternative, words=words.strip(), by=by)
    return trial


@transaction.atomic
def leave_unchanged(*, trial: Trial, words: str, by: User, settle_notes: bool = False) -> Trial:
    """Decide that the input stays as it is; if asked for, settle the notes behind the trial with
    the same words. Raises TrialDecided, ValidationError."""
    locked = lock_open(trial)
    _need(words)
    close(locked, chosen=None, words=words.strip(), by=by)
    if settle_notes:
        for note in unsettled(locked.because_of.all()):
            # Somebody may have settled it this very moment; then it is settled, which is the aim.
            with suppress(ValidationError):
                settle(note=note, words=words, by=by)
    return locked


def doubtful(alternative: Alternative) -> list[Swap]:
    """What choosing `alternative` makes doubtful on the input. One query, or none."""
    entry = alternative.trial.input
    return swap_of(entry, device=str(alternative.device_id))


def edit_for(alternative: Alternative, trial: Trial, decided: Mapping[str, Any]) -> Set:
    """What choosing `alternative` does to the input. An empty placement leaves it where it is."""
    fields: dict[str, Any] = {"device": str(alternative.device_id), **decided}
    for row in placement_fields():
        # A distance of zero is a placement; only what was left empty stays as it is.
        if getattr(alternative, row.name) not in (None, ""):
            fields |= {name: plain_value(getattr(alternative, name)) for name in row.stored}
    return Set(str(trial.input_id), "input", fields)


def _decision_note(trial: Trial, words: str, by: User) -> Note:
    heard = NoteContent(
        # KEEP settles the note: it records a decision and asks for nothing.
        verdict=Note.Verdict.KEEP,
        # A reading, because these are the words of whoever decided and not a player's.
        reading=words,
        inputs=[trial.input],
        song=trial.song,
        take=f"Trial: {trial.question}"[:120],
    )
    return write_note(rig=trial.rig, heard=heard, by=by)


def _need(words: str) -> None:
    if not words.strip():
        raise ValidationError({"decision": _("Say in a few words why.")})
