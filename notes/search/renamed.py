"""Index notes, trials and clips anew when a name that stands in their entries has changed.

A name changes seldom, so what carries it is put in inside the same transaction; a save that leaves
the name alone costs one query.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any
from uuid import UUID

from django.db.models import Model, Q
from django.db.models.signals import post_save, pre_save

from core.models import Leg, Player, Research, Section, Song
from core.places import IndexEntry
from core.search.backend import index_all
from notes.models import Clip, Handover, Note, Question, SignOff, Trial
from notes.search import entries

# The field that names each, and how what is found leads to it.
NAMES: dict[type[Model], str] = {Song: "title", Section: "name", Player: "name", Leg: "name"}


def connect() -> None:
    """Called once, when the app is ready."""
    for model in NAMES:
        pre_save.connect(before, sender=model, dispatch_uid=f"search old name {model.__name__}")
        post_save.connect(after, sender=model, dispatch_uid=f"search new name {model.__name__}")


def before(sender: type[Model], instance: Any, **_: Any) -> None:
    """Remember whether the name is about to change."""
    name = NAMES[sender]
    known = sender._default_manager.filter(pk=instance.pk).values_list(name, flat=True).first()
    # A new row has no old name, and nothing carries its name yet.
    instance.renamed = known is not None and known != getattr(instance, name)


def after(sender: type[Model], instance: Any, **_: Any) -> None:
    if instance.__dict__.pop("renamed", False):
        index_all(carrying(instance))


def rigs_retitled(rigs: Iterable[UUID]) -> None:
    """Index anew what names `rigs`, ids of rigs whose names changed or which came or went."""
    ids = list(rigs)
    index_all(_heard(Q(rig__in=ids)))
    index_all(entries.sign_offs(SignOff.objects.filter(rig__in=ids)))


def carrying(named: Model) -> Iterator[IndexEntry]:
    """Everything of notes that names a song, a section, a player or a leg."""
    if isinstance(named, Song):
        yield from _heard(Q(song=named))
        yield from entries.research(Research.objects.filter(song=named))
    elif isinstance(named, Section):
        yield from entries.notes(Note.objects.filter(section=named))
        yield from entries.clips(Clip.objects.filter(section=named))
    elif isinstance(named, Player):
        yield from entries.notes(Note.objects.filter(said_by_player=named))
        yield from entries.questions(Question.objects.filter(player=named))
        yield from entries.research(Research.objects.filter(player=named))
    elif isinstance(named, Leg):
        yield from entries.handovers(Handover.objects.filter(leg=named))
        yield from entries.questions(Question.objects.filter(handover__leg=named))


def _heard(where: Q) -> Iterator[IndexEntry]:
    yield from entries.notes(Note.objects.filter(where))
    yield from entries.trials(Trial.objects.filter(where))
    yield from entries.clips(Clip.objects.filter(where))
