"""Changes as people read them: who, when, what, because of which notes, and how it turned out.

Note → change → outcome, as one thread.

The change log of a production: every rig's changes in one list, and what narrows it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from typing import Any, NamedTuple
from uuid import UUID

from django.db.models import Exists, OuterRef, Prefetch, Q, QuerySet, Subquery
from django.db.models.lookups import IsNull
from django.utils import timezone

from core.composed import Composed, Several, column
from core.models import Player, Production, User
from notes.comparing.evidence import HeardClips, heard_for_changes, heard_of
from notes.models import Note, ReasonLink, Trial
from notes.queries import for_cards
from notes.states import with_state
from rigs.changes.edits import WHOLE
from rigs.changes.reasons import ReasonKind
from rigs.fields import reasons_needed_by
from rigs.models import ChangeRow, Device, Input, Revision, Rig
from rigs.wording import ChangeLine, describe_many


@dataclass(frozen=True, slots=True)
class LogEntry:
    """One change. `shown` are the first lines of what it did, `more` says how many follow."""

    revision: Revision
    shown: Sequence[ChangeLine]
    more: int = 0
    because: Sequence[Note] = field(default=())
    follow_ups: Sequence[Note] = field(default=())
    trial: Trial | None = None
    heard: HeardClips | None = None

    @property
    def waits(self) -> bool:
        """Whether the change was made because of what was heard, and nobody has said yet if it
        helped."""
        return bool(self.because) and not self.follow_ups


# Lines of one change; the rest is counted and stands on the page of the change.
SHOWN = 12


def entries(revisions: QuerySet[Revision] | Iterable[Revision]) -> list[LogEntry]:
    """Entries in the order of `revisions`, which `with_threads` has prepared."""
    rows = list(revisions)
    lines = describe_many(rows)
    notes = {note.pk: note for note in _notes_of(rows)}
    return [_entry(revision, lines[revision.pk], notes) for revision in rows]


def _notes_of(revisions: Sequence[Revision]) -> list[Note]:
    """The notes that were reasons of `revisions` and those that follow them up, oldest first."""
    if not revisions:
        return []
    reasons = {link.note_id for revision in revisions for link in revision.because_of.all()}
    return _around(reasons, [revision.pk for revision in revisions])


# Together, because each reading of notes takes as many queries as cards have parts.
_around = Composed(
    lambda notes, revisions: for_cards(
        with_state(Note.objects.filter(Q(pk__among=notes) | Q(follows__pk__among=revisions)))
    ).order_by("written_at", "pk"),
    Several(column(Note)),
    Several(column(Revision)),
)


def with_threads(revisions: QuerySet[Revision]) -> QuerySet[Revision]:
    """`revisions` with everything an entry shows but the notes, in a fixed number of queries."""
    return revisions.select_related("rig__player", "rig__production", "author").prefetch_related(
        "changes",
        Prefetch("because_of", ReasonLink.objects.order_by("pk")),
        "trials",
        heard_for_changes(),
    )


def _entry(revision: Revision, lines: Sequence[ChangeLine], notes: Mapping[UUID, Note]) -> LogEntry:
    return LogEntry(
        revision=revision,
        shown=lines[:SHOWN],
        more=max(0, len(lines) - SHOWN),
        because=[notes[link.note_id] for link in revision.because_of.all()],
        follow_ups=[note for note in notes.values() if note.follows_id == revision.pk],
        # A change comes from one trial at most.
        trial=next(iter(revision.trials.all()), None),
        heard=heard_of(revision),
    )


class Thread(NamedTuple):
    """What a follow-up listens back to, and every change that was made because of the note."""

    before: Sequence[Note]
    changes: Sequence[LogEntry]


def thread_of(note: Note) -> Thread:
    """Queries are fixed, however long the thread."""
    before: Sequence[Note] = ()
    if note.follows_id is not None:
        behind = Note.objects.filter(led_to__revision=note.follows_id)
        before = list(for_cards(with_state(behind)))
    return Thread(before, changes_because_of(note))


def changes_because_of(note: Note) -> list[LogEntry]:
    """The changes that were made because of `note`, oldest first."""
    made = Revision.objects.filter(because_of__note=note).order_by("pk")
    return entries(with_threads(made))


def changes_of_part(rig: Rig, part: UUID, *, after: int) -> list[LogEntry]:
    """What was done to one part of `rig` after change number `after`, newest first."""
    touched = Exists(ChangeRow.objects.filter(revision=OuterRef("pk"), part=part))
    made = Revision.objects.filter(touched, rig=rig, number__gt=after).order_by("-number")
    return entries(with_threads(made))


def reasoned_changes(rig: Rig, newest: int) -> list[LogEntry]:
    """The last `newest` changes of `rig` that say why, newest first."""
    made = Revision.objects.filter(rig=rig).exclude(reason_kind="none").order_by("-number")
    return entries(with_threads(made)[:newest])


def revisions_of(
    production: Production,
    *,
    rig: Rig | None = None,
    player: Player | None = None,
    input: Input | None = None,
    device: Device | None = None,
    author: User | None = None,
    reason: str = "",
    since: date | None = None,
    until: date | None = None,
    everything: bool = False,
) -> QuerySet[Revision]:
    """Changes of all rigs; without `everything`, those of inputs and those with a reason.

    Both dates count as whole days in the time zone of the settings.
    """
    revisions = Revision.objects.filter(rig__production=production)
    equal = {"rig": rig, "rig__player": player, "author": author, "reason_kind": reason or None}
    revisions = revisions.filter(
        **{name: value for name, value in equal.items() if value is not None}
    )
    if since:
        revisions = revisions.filter(at__gte=_start(since))
    if until:
        # Below the midnight after it, so that the last day counts to its end.
        revisions = revisions.filter(at__lt=_start(until + timedelta(days=1)))
    # Exists and no join: a revision with several such rows stands in the list once.
    if input:
        revisions = revisions.filter(Exists(_rows(part=input.pk)))
    if device:
        revisions = revisions.filter(Exists(_rows(kind="input").filter(_names(device))))
    return revisions if everything else revisions.filter(_matters())


def _matters() -> Q:
    # WHOLE is an input that came or went.
    moved = _rows(kind="input", field__in=[WHOLE, *reasons_needed_by("input")])
    # The key of one and not EXISTS: next to OR, where PostgreSQL expects many changes, it reads the
    # rows of every change of all productions for that.
    return ~Q(reason_kind=ReasonKind.NONE) | Q(IsNull(Subquery(moved.values("pk")[:1]), False))


def _rows(**more: Any) -> QuerySet[ChangeRow]:
    return ChangeRow.objects.filter(revision=OuterRef("pk"), **more).order_by()


def _names(device: Device) -> Q:
    """Whether a row names `device` before or after the change, as the value of the field or within
    a whole input. An id is unique, so finding it in the stored text is finding the device."""
    in_field = Q(field="device") & (Q(old_json=f'"{device.pk}"') | Q(new_json=f'"{device.pk}"'))
    # Stored values are canonical JSON, which has no blanks: an input is always spelt like this.
    within = f'"device":"{device.pk}"'
    return in_field | Q(field=WHOLE) & (Q(old_json__contains=within) | Q(new_json__contains=within))


def _start(day: date) -> datetime:
    return timezone.make_aware(datetime.combine(day, time.min))
