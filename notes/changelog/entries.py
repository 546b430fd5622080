"""Changes as people read them: who, when, what, because of which notes, and how it turned out."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from django.db.models import Prefetch, QuerySet

from notes.comparing.evidence import HeardClips, heard_for_changes, heard_of
from notes.models import Note, ReasonLink, Trial
from notes.reading import for_cards
from notes.states import with_state
from rigs.describing import ChangeLine, describe_many
from rigs.models import Revision


@dataclass(frozen=True, slots=True)
class Entry:
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
        """Made because of what was heard, and nobody has said yet whether it helped."""
        return bool(self.because) and not self.follow_ups


SHOWN = 12


def entries(revisions: QuerySet[Revision] | Iterable[Revision]) -> list[Entry]:
    """Entries in the order of `revisions`, which `with_threads` has prepared."""
    rows = list(revisions)
    lines = describe_many(rows)
    return [_entry(revision, lines[revision.pk]) for revision in rows]


def with_threads(revisions: QuerySet[Revision]) -> QuerySet[Revision]:
    """`revisions` with everything an entry shows, in a fixed number of queries."""
    notes = with_state(Note.objects.all())
    return revisions.select_related("rig__player", "rig__production", "author").prefetch_related(
        "changes",
        Prefetch(
            "because_of",
            ReasonLink.objects.order_by("pk").prefetch_related(Prefetch("note", for_cards(notes))),
        ),
        Prefetch("follow_ups", for_cards(notes).order_by("written_at", "pk")),
        "trials",
        heard_for_changes(),
    )


def _entry(revision: Revision, lines: Sequence[ChangeLine]) -> Entry:
    return Entry(
        revision=revision,
        shown=lines[:SHOWN],
        more=max(0, len(lines) - SHOWN),
        because=[link.note for link in revision.because_of.all()],
        follow_ups=list(revision.follow_ups.all()),
        trial=next(iter(revision.trials.all()), None),
        heard=heard_of(revision),
    )
