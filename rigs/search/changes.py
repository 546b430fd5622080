"""What can be found of changes: those that have a reason, by its words and by what they did."""

from __future__ import annotations

from collections.abc import Iterator
from uuid import UUID, uuid5

from django.db.models import QuerySet
from django.urls import reverse

from core.models import SearchEntry
from core.places import IndexEntry
from rigs.changes.reasons import ReasonKind
from rigs.models import Revision
from rigs.wording import describe_many

# Changes described in one go, which bounds the memory that a large history needs.
AT_ONCE = 200
# Sentences of one change that are indexed, so that a large one does not swell the index.
MOST_LINES = 40


def changes(revisions: QuerySet[Revision]) -> Iterator[IndexEntry]:
    """Changes that were made for a reason, among `revisions`; a few queries for each AT_ONCE."""
    reasoned = revisions.exclude(reason_kind=ReasonKind.NONE).select_related("rig").order_by("pk")
    last = 0
    # By key and not by offset, which would make the database count anew for each batch.
    while rows := list(reasoned.filter(pk__gt=last)[:AT_ONCE]):
        last = rows[-1].pk
        lines = describe_many(rows)
        for revision in rows:
            sentences = [line.sentence for line in lines[revision.pk][:MOST_LINES]]
            yield _entry(revision, sentences)


def _entry(revision: Revision, sentences: list[str]) -> IndexEntry:
    rig = revision.rig
    path = reverse("rigs:revision", args=[rig.production_id, rig.pk, revision.number])
    reason = f"{revision.reason_label}: {revision.reason_words}".strip(": ")
    title = f"Change {revision.number} of {rig.name}"
    body = " · ".join([reason, revision.author_name, *sentences])
    kind = SearchEntry.Kind.CHANGE
    at = revision.happened_at
    key = subject(rig.pk, revision.number)
    return IndexEntry(rig.production_id, kind, key, title, body, path, at)


def subject(rig: UUID, number: int) -> UUID:
    """The index knows things by UUID; a change is known by its rig and number."""
    return uuid5(rig, f"change {number}")
