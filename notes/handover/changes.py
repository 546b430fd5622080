"""Changes of rigs as plain data: what differs, and who changed it why. For whole handovers."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any
from uuid import UUID

from notes.handover.state import spoken
from notes.signing.since import PartDifference, Since, Why, since
from rigs.changes.reasons import ReasonKind
from rigs.models import Rig
from rigs.revisions.writer import iso
from rigs.wording import ChangeLine
from rigs.wording.changes import CHANGED

Plain = dict[str, Any]


def changes_after(rigs: Sequence[Rig], known: Mapping[str, int]) -> dict[UUID, Since]:
    """What differs on each rig since the revision number `known` of it; rigs not in it are new.

    As many queries for one rig as for many.
    """
    # A rig that is not in `known` is new; it is told as new and not as changed.
    moved = {
        rig.pk: known[str(rig.pk)]
        for rig in rigs
        if known.get(str(rig.pk), rig.head_number) < rig.head_number
    }
    return since([rig for rig in rigs if rig.pk in moved], moved) if moved else {}


def changes_data(since: Since) -> Plain:
    """What differs, the largest first, and how many `more` there are in the history."""
    return {"told": [_difference(each) for each in since.parts], "more": since.more}


def _difference(difference: PartDifference) -> Plain:
    return {
        "name": difference.name,
        "kind": difference.kind,
        # Tenths of a degree, as a whole number: canonical JSON has one spelling of those.
        "size": [int(difference.size.rank), round(difference.size.amount * 10)],
        "lines": [_line(line) for line in difference.lines],
        "why": [_why(why) for why in difference.why],
    }


def _line(line: ChangeLine) -> Plain:
    """Values that are quantities as such. Of what came, went or moved, the sentence: it sums up in
    words what was there then, with names that may be others by now."""
    return {
        "label": line.field_label,
        "old": line.old_data or {"text": line.old_text},
        "new": line.new_data or {"text": line.new_text},
        "what": line.what,
        **({} if line.what == CHANGED else {"text": line.short}),
    }


def _why(why: Why) -> Plain:
    revision = why.revision
    given = revision.reason_kind != ReasonKind.NONE
    return {
        "number": revision.number,
        "by": revision.author_name,
        "at": iso(revision.happened_at),
        "reason": revision.reason_label if given else "",
        "words": revision.reason_words,
        "notes": [
            {
                "words": note.words,
                "said_by": str(note.said_by_player or note.said_by_name or ""),
                "reading": note.reading,
                **spoken(note.said_by_player),
            }
            for note in why.notes
        ],
    }
