"""Keep the search up to date with what people write, inside the transaction that saves it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any, TypeVar

from django.db.models import Model, QuerySet
from django.db.models.signals import post_save

from core.models import Production, Research
from core.places import IndexEntry
from core.search.backend import index_all
from notes.models import (
    Alternative,
    Answer,
    Clip,
    Handover,
    Note,
    NotePhoto,
    PublishedHandover,
    Question,
    SignOff,
    Trial,
)
from notes.search import entries, renamed

M = TypeVar("M", bound=Model)


def connect() -> None:
    """Called once, when the app is ready."""
    renamed.connect()
    on_save(Note, entries.notes)
    on_save(Research, entries.research)
    on_save(Trial, entries.trials)
    on_save(Clip, entries.clips)
    on_save(SignOff, entries.sign_offs)
    on_save(Handover, entries.handovers)
    on_save(PublishedHandover, entries.published)
    on_save(Question, entries.questions)
    post_save.connect(on_alternative, sender=Alternative, dispatch_uid="search alternative")
    post_save.connect(on_photo, sender=NotePhoto, dispatch_uid="search photo of a note")
    post_save.connect(on_answer, sender=Answer, dispatch_uid="search answer")


def everything(production: Production) -> Iterator[IndexEntry]:
    """All that can be found of notes; queries do not grow with their number."""
    yield from entries.notes(Note.objects.filter(production=production))
    yield from entries.trials(Trial.objects.filter(production=production))
    yield from entries.clips(Clip.objects.filter(production=production))
    yield from entries.sign_offs(SignOff.objects.filter(rig__production=production))
    yield from entries.handovers(Handover.objects.filter(leg__production=production))
    yield from entries.published(PublishedHandover.objects.filter(production=production))
    yield from entries.questions(Question.objects.filter(handover__leg__production=production))
    yield from entries.research(Research.objects.filter(song__production=production))


def on_save(model: type[M], entries_of: Callable[[QuerySet[M]], Iterator[IndexEntry]]) -> None:
    """Put what `entries_of` makes of a row into the index, whenever one is saved."""

    def saved(instance: M, **_: Any) -> None:
        # Read anew, with the related rows that the entry names, in a fixed number of queries.
        index_all(entries_of(model._default_manager.filter(pk=instance.pk)))

    # Not weakly: nothing else refers to `saved`, and it would be gone at once.
    post_save.connect(saved, sender=model, weak=False, dispatch_uid=f"search {model._meta.label}")


def on_alternative(instance: Alternative, **_: Any) -> None:
    index_all(entries.trials(Trial.objects.filter(pk=instance.trial_id)))


def on_photo(instance: NotePhoto, **_: Any) -> None:
    index_all(entries.notes(Note.objects.filter(pk=instance.note_id)))


def on_answer(instance: Answer, **_: Any) -> None:
    index_all(entries.questions(Question.objects.filter(pk=instance.question_id)))
