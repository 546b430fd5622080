"""How notes and trials are fetched for pages: whole lists in a fixed number of queries."""

from __future__ import annotations

from django.db.models import Prefetch, QuerySet

from core.models import Production
from core.models.base import RetirableQuerySet
from notes.models import Alternative, Clip, ListeningSession, Note, Trial, shown_photos
from notes.states import with_state
from rigs.models import Input, Rig, Unit


def notes_of(production: Production) -> QuerySet[Note]:
    """All notes of a production, newest first, each with its state and what a card shows."""
    return for_cards(with_state(Note.objects.filter(production=production)))


def for_cards(notes: QuerySet[Note]) -> QuerySet[Note]:
    """What `notes/journal/_note.html` shows, in three queries besides that of the notes."""
    return (
        notes.select_related(
            "rig__player",
            "session",
            "song",
            "section",
            "said_by_player",
            "written_by",
            "settled_by",
            "follows",
            "memo__sound",
        )
        # Prefetched and not joined: each has many rows, which a join would multiply.
        .prefetch_related("inputs", "units", shown_photos())
        .order_by("-written_at", "-pk")
    )


def sessions_of(production: Production) -> QuerySet[ListeningSession]:
    return ListeningSession.objects.filter(production=production).select_related("show")


def trials_of(production: Production) -> QuerySet[Trial]:
    """All trials of a production, newest first, with their alternatives."""
    return trials_for_cards(Trial.objects.filter(production=production))


def with_because_of(trials: QuerySet[Trial]) -> QuerySet[Trial]:
    """`trials` with the notes behind each as cards show them, in four queries."""
    notes = for_cards(with_state(Note.objects.all()))
    return trials.prefetch_related(Prefetch("because_of", notes))


def trials_for_cards(trials: QuerySet[Trial]) -> QuerySet[Trial]:
    alternatives = Alternative.objects.select_related("device")
    return (
        trials.select_related(
            "rig__player", "input__device", "song", "opened_by", "decided_by", "revision"
        )
        .prefetch_related(Prefetch("alternatives", alternatives))
        .order_by("-opened_at", "-pk")
    )


def alternatives_of(production: Production) -> QuerySet[Alternative]:
    alternatives = Alternative.objects.filter(trial__production=production)
    return alternatives.select_related("device", "trial__rig__production", "trial__input__device")


def clips_of(production: Production) -> RetirableQuerySet[Clip]:
    """All clips of a production, newest first, with what a row of them shows."""
    return clips_for_rows(Clip.objects.filter(production=production))


def clips_for_rows(clips: RetirableQuerySet[Clip]) -> RetirableQuerySet[Clip]:
    return clips.select_related(
        "rig__player",
        "input__device",
        "revision",
        "song",
        "section",
        "session",
        "note",
        "sound",
        "brought_by",
    ).order_by("-brought_at", "-pk")


def rigs_of(production: Production) -> QuerySet[Rig]:
    return Rig.objects.filter(production=production, retired=False).select_related("player")


def inputs_of(rig: Rig) -> QuerySet[Input]:
    return Input.objects.filter(rig=rig, retired=False).select_related("device")


def units_of(rig: Rig) -> QuerySet[Unit]:
    return Unit.objects.filter(rig=rig, retired=False)
