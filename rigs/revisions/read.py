"""Read a rig as it is now, or as it was at any revision."""

from __future__ import annotations

import json
from datetime import datetime
from uuid import UUID

from django.db import connection
from django.utils.translation import gettext as _

from rigs.changes.chain import unpack
from rigs.changes.diff import apply
from rigs.changes.edits import Change, Snapshot
from rigs.models import PARTS, ChangeRow, KeyFrame, Part, Revision, Rig


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


def number_seen(rig: Rig, moment: datetime | None) -> int:
    """The number of the newest change of `rig` that a page made at `moment` could show.

    The newest there is now where `moment` is None, or lies before the first. One query.
    """
    if moment is not None:
        there = Revision.objects.filter(rig=rig, at__lte=moment).order_by("-number")
        number = there.values_list("number", flat=True).first()
        if number is not None:
            return number
    # Read again: it may have changed since `rig` was.
    return int(Rig.objects.values_list("head_number", flat=True).get(pk=rig.pk))


def _no_change(rig: Rig, number: int) -> str:
    return _("{rig} has no change number {number}.").format(rig=rig, number=number)


def as_of(rig: Rig, number: int) -> Snapshot:
    """The rig as it was after revision `number` (0 is the empty rig), in two queries.

    Costs the same however long the history is. Raises NoSuchRevision.
    """
    if number == 0:
        return {}
    if not 0 < number <= rig.head_number:
        raise NoSuchRevision(_no_change(rig, number))
    # Plain statements, as in rows.py: composing them took as long as reading the answer.
    key = Rig._meta.pk.get_db_prep_value(rig.pk, connection)
    with connection.cursor() as cursor:
        cursor.execute(_FRAME, [key, number])
        frame = cursor.fetchone()
        # The newest key frame at or before `number`; at most KEY_FRAME_EVERY - 1 revisions are
        # replayed.
        start, state = (frame[0], unpack(bytes(frame[1]))) if frame else (0, {})
        cursor.execute(_CHANGES, [key, start, number])
        return apply(state, (_change(*row) for row in cursor.fetchall()))


_FRAME = f"""SELECT number, body FROM {KeyFrame._meta.db_table}
  WHERE rig_id = %s AND number <= %s ORDER BY number DESC LIMIT 1"""  # noqa: S608
_CHANGES = f"""SELECT c.part, c.kind, c.field, c.old_json, c.new_json
  FROM {ChangeRow._meta.db_table} c JOIN {Revision._meta.db_table} r ON r.id = c.revision_id
  WHERE r.rig_id = %s AND r.number > %s AND r.number <= %s ORDER BY r.number, c.id"""  # noqa: S608


def _change(part: UUID | str, kind: str, field: str, old: str, new: str) -> Change:
    # SQLite hands ids out as bare hexadecimal.
    part = part if isinstance(part, UUID) else UUID(part)
    return Change(str(part), kind, field, json.loads(old), json.loads(new))


def revision(rig: Rig, number: int) -> Revision:
    """The revision of `rig` with this number. Raises NoSuchRevision."""
    try:
        return Revision.objects.get(rig=rig, number=number)
    except Revision.DoesNotExist:
        raise NoSuchRevision(_no_change(rig, number)) from None
