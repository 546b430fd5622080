"""Run a trial: open it, add what is to be heard, say what was heard, decide."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from core import clock
from core.models import Song, User
from core.services.ordering import next_position
from notes.models import Alternative, AlternativeVerdict, Note, Trial
from rigs.fields import PartField, placement_of
from rigs.models import Device, Input


def placement_fields() -> list[PartField]:
    """The fields of an input's placement that an alternative may set, in reading order."""
    columns = {column.name for column in Alternative._meta.get_fields()}
    return [row for row in placement_of("input") if row.name in columns]


class TrialDecided(ValidationError):
    """The trial is over; what was decided stays as it is."""


@transaction.atomic
def open_trial(
    *,
    input: Input,
    question: str,
    by: User,
    song: Song | None = None,
    because_of: Iterable[Note] = (),
) -> Trial:
    """Open a trial on `input` with the notes it looks into. Raises ValidationError by field."""
    motives = list(because_of)
    _check_start(input, song, motives)
    rig = input.rig
    trial = Trial(
        production_id=rig.production_id,
        rig=rig,
        input=input,
        question=question.strip(),
        song=song,
        opened_by=by,
    )
    # Both are empty until it is decided.
    trial.full_clean(exclude=["decided_by", "revision"])
    # Its row first, before the notes that point at it.
    trial.save(force_insert=True)
    trial.because_of.set(motives)
    return trial


def _check_start(input: Input, song: Song | None, motives: list[Note]) -> None:
    place = input.rig.production_id
    if input.retired:
        raise ValidationError(
            _("“{input}” is no longer in the rig; nothing can be tried on it.").format(input=input)
        )
    if song is not None and song.production_id != place:
        raise ValidationError({"song": _("This production has none such.")})
    if any(note.production_id != place for note in motives):
        raise ValidationError({"because_of": _("This production has no such note.")})


@transaction.atomic
def add_alternative(
    *, trial: Trial, device: Device, placement: Mapping[str, Any] | None = None
) -> Alternative:
    """Another way to pick the input up. What `placement` leaves out stays as the input stands.

    Raises TrialDecided, ValidationError.
    """
    locked = lock_open(trial)
    if device.production_id != locked.production_id:
        raise ValidationError({"device": _("This production has no such microphone or DI.")})
    check_in_use(device)
    # None means left out; a text column has an empty text as its default and takes no None.
    given = {name: value for name, value in (placement or {}).items() if value is not None}
    alternative = Alternative(
        trial=locked, device=device, position=next_position(locked.alternatives.all()), **given
    )
    alternative.full_clean()
    alternative.save(force_insert=True)
    return alternative


def check_in_use(device: Device) -> None:
    """Raise ValidationError for a device that was retired."""
    if device.is_retired:
        raise ValidationError(
            {"device": _("{device} is retired. Restore it first.").format(device=device)}
        )


@transaction.atomic
def give_verdict(*, alternative: Alternative, verdict: str, words: str) -> Alternative:
    """What was heard of one alternative. Raises TrialDecided, ValidationError."""
    # Under the lock, so that no verdict comes after the decision.
    lock_open(alternative.trial)
    possible = (AlternativeVerdict.POSSIBLE, AlternativeVerdict.REJECTED)
    if verdict not in possible:
        raise ValidationError({"verdict": _("Say whether it is possible or rejected.")})
    if not words.strip():
        raise ValidationError({"words": _("Say in a few words what was heard.")})
    alternative.verdict, alternative.words = verdict, words.strip()
    alternative.save(update_fields=["verdict", "words"])
    return alternative


def lock_open(trial: Trial) -> Trial:
    """The trial, locked against a second decision. Raises TrialDecided."""
    locked = Trial.objects.select_for_update().get(pk=trial.pk)
    check_open(locked)
    return locked


def check_open(trial: Trial) -> None:
    """Raise TrialDecided, saying by whom and why."""
    if not trial.is_open:
        raise TrialDecided(
            _("{decided_by} has decided this trial: “{decision}” It stays as it is.").format(
                decided_by=trial.decided_by, decision=trial.decision
            )
        )


def close(trial: Trial, *, chosen: Alternative | None, words: str, by: User) -> None:
    """Note down the decision on a locked trial. What was heard and not chosen is rejected with
    its words; what nobody heard stays “not heard yet”, for it was not rejected."""
    others = trial.alternatives.filter(verdict=AlternativeVerdict.POSSIBLE)
    # Before the others, which the query would find it among as long as it is POSSIBLE.
    if chosen is not None:
        trial.alternatives.filter(pk=chosen.pk).update(verdict=AlternativeVerdict.CHOSEN)
    others.update(verdict=AlternativeVerdict.REJECTED)
    trial.decision, trial.decided_by, trial.decided_at = words, by, clock.now()
    trial.save(update_fields=["decision", "decided_by", "decided_at", "revision"])
