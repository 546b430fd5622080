"""Note → change → outcome, as one thread."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple
from uuid import UUID

from django.db.models import Exists, OuterRef

from notes.changelog.entries import Entry, entries, with_threads
from notes.models import Note
from notes.reading import for_cards
from notes.states import with_state
from rigs.models import ChangeRow, Revision, Rig


class Thread(NamedTuple):
    """What a follow-up listens back to, and every change that was made because of the note."""

    before: Sequence[Note]
    changes: Sequence[Entry]


def thread_of(note: Note) -> Thread:
    """Queries are fixed, however long the thread."""
    before: Sequence[Note] = ()
    if note.follows_id is not None:
        behind = Note.objects.filter(led_to__revision=note.follows_id)
        before = list(for_cards(with_state(behind)))
    return Thread(before, changes_because_of(note))


def changes_because_of(note: Note) -> list[Entry]:
    """Oldest first, as it happened."""
    made = Revision.objects.filter(because_of__note=note).order_by("pk")
    return entries(with_threads(made))


def changes_of_part(rig: Rig, part: UUID, *, after: int) -> list[Entry]:
    """What was done to one part of `rig` after change number `after`, newest first."""
    touched = Exists(ChangeRow.objects.filter(revision=OuterRef("pk"), part=part))
    made = Revision.objects.filter(touched, rig=rig, number__gt=after).order_by("-number")
    return entries(with_threads(made))


def reasoned_changes(rig: Rig, newest: int) -> list[Entry]:
    """The last `newest` changes of `rig` that say why, newest first."""
    made = Revision.objects.filter(rig=rig).exclude(reason_kind="none").order_by("-number")
    return entries(with_threads(made)[:newest])
