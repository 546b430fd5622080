"""Read a rig as it is now, or as it was at any revision."""

from __future__ import annotations

import json
from collections.abc import Iterator

from django.db.models import QuerySet

from rigs.models import PARTS, ChangeRow, KeyFrame, Part, Revision, Rig
from rigs.revisions.chain import unpack
from rigs.revisions.diff import apply
from rigs.revisions.edits import Change, Snapshot


class NoSuchRevision(LookupError):
    """The rig has no revision of that number."""


def live(rig: Rig) -> Snapshot:
    """The rig from its own tables, one query for each kind of part."""
    state: Snapshot = {str(rig.pk): rig.fields()} if rig.head_number else {}
    for model in PARTS.values():
        if issubclass(model, Part):
            for part in model._default_manager.filter(rig=rig, retired=False):
                state[str(part.pk)] = part.fields()
    return state


def as_of(rig: Rig, number: int) -> Snapshot:
    """The rig as it was after revision `number` (0 is the empty rig), in two queries.

    Costs the same however long the history is. Raises NoSuchRevision.
    """
    if number == 0:
        return {}
    if not 0 < number <= rig.head_number:
        raise NoSuchRevision(f"{rig} has no change number {number}.")
    frame = KeyFrame.objects.filter(rig=rig, number__lte=number).order_by("-number").first()
    start, state = (frame.number, unpack(bytes(frame.body))) if frame else (0, {})
    return apply(state, changes_between(rig, start, number))


def changes_between(rig: Rig, after: int, upto: int) -> Iterator[Change]:
    """Every change of the revisions after `after` up to and including `upto`, oldest first."""
    rows = rows_between(rig, after, upto).values_list(
        "part", "kind", "field", "old_json", "new_json"
    )
    for part, kind, field, old, new in rows:
        yield Change(str(part), kind, field, json.loads(old), json.loads(new))


def rows_between(rig: Rig, after: int, upto: int) -> QuerySet[ChangeRow]:
    return ChangeRow.objects.filter(
        revision__rig=rig, revision__number__gt=after, revision__number__lte=upto
    ).order_by("revision__number", "pk")


def revision(rig: Rig, number: int) -> Revision:
    try:
        return Revision.objects.get(rig=rig, number=number)
    except Revision.DoesNotExist:
        raise NoSuchRevision(f"{rig} has no change number {number}.") from None
