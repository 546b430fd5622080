"""Ties a change to the listening notes that are its reason, inside the gateway's transaction."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from uuid import UUID

from django.utils.translation import gettext as _

from core.models import User
from notes.models import Note, ReasonLink
from rigs.changes.edits import Edit
from rigs.changes.reasons import Reason, ReasonKind, ReasonRequired
from rigs.models import Revision, Rig
from rigs.revisions.record import record


def change_because(
    rig: Rig, edits: Iterable[Edit], *, notes: Iterable[Note], words: str, author: User, base: int
) -> Revision | None:
    """Change `rig` because of what was heard; None if nothing changes.

    Raises ReasonRequired without notes or with one of another production, and what the gateway
    raises: Conflict, ValidationError, NoSuchRevision.
    """
    ids = tuple(dict.fromkeys(note.pk for note in notes))
    reason = Reason(ReasonKind.NOTES, words.strip(), ids)
    return record(rig, edits, author=author, base=base, reason=reason)


def check_notes(rig: Rig, ids: Sequence[UUID]) -> None:
    """Raise ReasonRequired for a note that the production does not have.

    The notes stay locked until the change is written: an author who is just rewording one
    must not slip in between, for a note that led to a change stays as it was read."""
    rows = (
        Note.objects.filter(pk__in=ids, production=rig.production_id)
        # In the order of keys, so that two changes that share notes cannot wait for each other.
        .order_by("pk")
        .select_for_update()
    )
    known = {str(pk) for pk in rows.values_list("pk", flat=True)}
    for note in ids:
        if str(note) not in known:
            raise ReasonRequired(
                [],
                _(
                    "This production has no listening note {note}, so it cannot be the reason."
                ).format(note=note),
            )


def link_notes(revision: Revision, ids: Sequence[UUID]) -> None:
    # A note that is named twice is linked once; the table would refuse a second link.
    ReasonLink.objects.bulk_create(
        ReasonLink(revision_id=revision.pk, note_id=note) for note in dict.fromkeys(ids)
    )
