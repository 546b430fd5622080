"""Give inputs new channel numbers: one change for each rig, all or nothing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from django.db import transaction

from core.models import User
from rigs.models import Input, Revision
from rigs.revisions.edits import Set
from rigs.revisions.record import record


@transaction.atomic
def renumber(
    *, inputs: Sequence[Input], numbers: Mapping[str, int | None], by: User
) -> list[Revision]:
    """`numbers` by input id; inputs not named keep theirs. A number may stand twice: it shows."""
    by_rig: dict[object, list[Input]] = {}
    for entry in inputs:
        if str(entry.pk) in numbers and numbers[str(entry.pk)] != entry.number:
            by_rig.setdefault(entry.rig_id, []).append(entry)
    done = []
    for entries in by_rig.values():
        rig = entries[0].rig
        edits = [Set(str(e.pk), "input", {"number": numbers[str(e.pk)]}) for e in entries]
        revision = record(rig, edits, author=by, base=rig.head_number)
        if revision is not None:
            done.append(revision)
    return done


def in_order(inputs: Sequence[Input]) -> dict[str, int | None]:
    """Numbers from 1 without gaps, in the list's present order."""
    return {str(entry.pk): number for number, entry in enumerate(inputs, start=1)}
