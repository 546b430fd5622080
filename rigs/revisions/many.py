"""Several rigs as of a revision each, and who last touched what: as many queries for one as for
many, and the same effort however long the histories are."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Collection, Mapping
from datetime import datetime
from typing import NamedTuple
from uuid import UUID

from django.db import connection
from django.db.models import Case, IntegerField, OuterRef, Q, Subquery, Value, When
from django.db.models.functions import Coalesce

from rigs.changes.chain import unpack
from rigs.changes.diff import apply
from rigs.changes.edits import WHOLE, Change, Snapshot
from rigs.models import ChangeRow, KeyFrame, Revision, Rig
from rigs.revisions.writer import KEY_FRAME_EVERY


def as_of_many(wanted: Mapping[UUID, int]) -> dict[UUID, Snapshot]:
    """Each rig (by id) as it was after the revision named; 0 is the empty rig. Two queries."""
    frames = _frames(wanted)
    later = Q()
    for rig, number in wanted.items():
        start = frames[rig][0] if rig in frames else 0
        if start < number:
            later |= Q(revision__rig=rig, revision__number__gt=start, revision__number__lte=number)
    changes = _changes(later) if later else {}
    return {
        rig: apply(unpack(frames[rig][1]) if rig in frames else {}, changes.get(rig, ()))
        for rig in wanted
    }


def _frames(wanted: Mapping[UUID, int]) -> dict[UUID, tuple[int, bytes]]:
    """The newest whole state on file of each rig that is not after the revision named."""
    asked = {rig: number for rig, number in wanted.items() if number}
    if not asked:
        return {}
    limit = Case(
        *(When(pk=rig, then=Value(number)) for rig, number in asked.items()),
        output_field=IntegerField(),
    )
    newest = KeyFrame.objects.filter(rig=OuterRef("pk"), number__lte=OuterRef("upto"))
    rows = (
        Rig.objects.filter(pk__in=asked)
        .annotate(upto=limit)
        .annotate(frame=Subquery(newest.order_by("-number").values("pk")[:1]))
    )
    bodies = KeyFrame.objects.filter(pk__in=rows.order_by().values("frame"))
    return {
        rig: (number, bytes(body))
        for rig, number, body in bodies.values_list("rig_id", "number", "body")
    }


def _changes(later: Q) -> dict[UUID, list[Change]]:
    found: dict[UUID, list[Change]] = defaultdict(list)
    rows = ChangeRow.objects.filter(later).order_by("revision__number", "pk")
    for rig, part, kind, field, old, new in rows.values_list(
        "revision__rig_id", "part", "kind", "field", "old_json", "new_json"
    ):
        found[rig].append(Change(str(part), kind, field, json.loads(old), json.loads(new)))
    return found


def last_before(rigs: Collection[UUID], moment: datetime) -> dict[UUID, int]:
    """The number of each rig's last revision before `moment`; 0 for a rig that was not there yet.

    One query. The whole states lead to the place: their times are looked through, not those of
    all revisions.
    """
    frames = KeyFrame.objects.filter(rig=OuterRef("pk"), revision__at__lt=moment)
    near = Revision.objects.filter(
        rig=OuterRef("pk"),
        at__lt=moment,
        number__gte=OuterRef("frame"),
        number__lte=OuterRef("frame") + KEY_FRAME_EVERY,
    )
    rows = (
        Rig.objects.filter(pk__in=rigs)
        .annotate(frame=Coalesce(Subquery(frames.order_by("-number").values("number")[:1]), 0))
        .annotate(last=Coalesce(Subquery(near.order_by("-number").values("number")[:1]), 0))
    )
    return dict(rows.order_by().values_list("pk", "last"))


class Touched(NamedTuple):
    """A field of a part (WHOLE: the part itself, come or gone) after one revision of a rig and up
    to another, both by their primary keys."""

    part: str
    field: str
    after: int
    upto: int


def keys_of(wanted: Mapping[UUID, Collection[int]]) -> dict[tuple[UUID, int], int]:
    """The primary keys of revisions, by rig and number. One query; none where all are 0."""
    asked = Q()
    for rig, numbers in wanted.items():
        asked |= Q(rig=rig, number__in=set(numbers) - {0})
    rows = Revision.objects.filter(asked).values_list("rig_id", "number", "pk") if asked else []
    return {(rig, number): pk for rig, number, pk in rows}


def last_touched(wanted: Collection[Touched]) -> dict[tuple[str, str], tuple[int, ...]]:
    """The newest three revisions (primary keys, oldest first) that touched each. One query.

    A part that came or went touched all of its fields.
    """
    if not wanted:
        return {}
    asked = json.dumps([[_key(UUID(each.part)), *each[1:]] for each in wanted])
    found: dict[tuple[str, str], tuple[int, ...]] = {}
    with connection.cursor() as cursor:
        cursor.execute(f"{_WANTED[connection.vendor]} {_SELECT}", [asked])
        for part, field, *revisions in cursor.fetchall():
            newest = [number for number in revisions if number is not None]
            found[str(UUID(str(part))), field] = tuple(reversed(newest))
    return found


def _key(part: UUID) -> str:
    return part.hex if connection.vendor == "sqlite" else str(part)


def _nth(nth: int) -> str:
    """The index on part and revision is read from its newest end, and only as far as needed."""
    return f"""(SELECT c.revision_id FROM {ChangeRow._meta.db_table} c
      WHERE c.part = w.part AND (c.field = w.field OR c.field = '{WHOLE}')
        AND c.revision_id > w.low AND c.revision_id <= w.high
      ORDER BY c.revision_id DESC LIMIT 1 OFFSET {nth})"""  # noqa: S608


_SELECT = f"SELECT w.part, w.field, {_nth(0)}, {_nth(1)}, {_nth(2)} FROM wanted w"  # noqa: S608
_WANTED = {
    "sqlite": """WITH wanted (part, field, low, high) AS (
      SELECT value ->> 0, value ->> 1, value ->> 2, value ->> 3 FROM json_each(%s))""",
    "postgresql": """WITH wanted (part, field, low, high) AS (
      SELECT (value ->> 0)::uuid, value ->> 1, (value ->> 2)::bigint, (value ->> 3)::bigint
      FROM jsonb_array_elements(%s::jsonb))""",
}
