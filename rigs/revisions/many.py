"""Read several rigs, each as of a revision, and find the revisions that last touched a field.

The number of queries is the same for one rig as for many, and the effort does not grow with the
length of the histories.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from datetime import datetime
from itertools import zip_longest
from typing import Any, NamedTuple
from uuid import UUID

from django.db import connection
from django.db.models import Case, IntegerField, OuterRef, Q, QuerySet, Subquery, Value, When
from django.db.models.functions import Coalesce

from rigs.changes.chain import unpack
from rigs.changes.diff import apply
from rigs.changes.edits import WHOLE, Change, Snapshot
from rigs.models import ChangeRow, KeyFrame, Revision, Rig
from rigs.revisions.writer import KEY_FRAME_EVERY


def as_of_many(numbers: Mapping[UUID, int]) -> dict[UUID, Snapshot]:
    """Each rig (by id) as it was after the revision named; 0 is the empty rig. Two queries."""
    return {rig: state for (rig, _), state in as_of_each(numbers.items()).items()}


State = tuple[UUID, int]  # a rig and one of its revisions, by number


def as_of_each(asked: Iterable[State]) -> dict[State, Snapshot]:
    """Each rig as it was after each revision named of it; 0 is the empty rig. Two queries."""
    states = list(dict.fromkeys(asked))
    frames = _frames(states)
    later = Q()
    for rig, number in states:
        start, _ = frames[rig, number]
        if start < number:
            later |= Q(revision__rig=rig, revision__number__gt=start, revision__number__lte=number)
    changes = _changes(later) if later else {}
    return {
        (rig, number): _after(frames[rig, number], changes.get(rig, ()), number)
        for rig, number in states
    }


def _after(
    frame: tuple[int, bytes], changes: Iterable[tuple[int, Change]], number: int
) -> Snapshot:
    """The state of a frame (revision, packed state) after the changes up to `number`."""
    start, body = frame
    later = (change for revision, change in changes if start < revision <= number)
    return apply(unpack(body) if body else {}, later)


def _frames(states: Iterable[State]) -> dict[State, tuple[int, bytes]]:
    """The newest key frame at or before each state, as number and bytes; (0, b"") without any."""
    asked: dict[UUID, list[int]] = defaultdict(list)
    for rig, number in states:
        asked[rig].append(number)
    by_rig: dict[UUID, list[tuple[int, bytes]]] = defaultdict(list)
    if any(number for numbers in asked.values() for number in numbers):
        newest = Q()
        # The first revision asked of each rig, then the second of those that have one, and so on.
        # One subquery for each turn, not for each state: a CASE can hold each rig only once.
        for turn in zip_longest(*asked.values()):
            limits = {rig: n for rig, n in zip(asked, turn, strict=True) if n}
            if limits:
                newest |= Q(pk__in=_newest_frames(limits))
        rows = KeyFrame.objects.filter(newest).order_by("number")
        for rig, number, body in rows.values_list("rig_id", "number", "body"):
            by_rig[rig].append((number, bytes(body)))
    return {
        (rig, number): next(
            (frame for frame in reversed(by_rig[rig]) if frame[0] <= number), (0, b"")
        )
        for rig, number in states
    }


def _newest_frames(limits: Mapping[UUID, int]) -> QuerySet[Rig, Any]:
    """The primary key of each rig's newest whole state up to the revision named."""
    upto = Case(
        *(When(pk=rig, then=Value(number)) for rig, number in limits.items()),
        output_field=IntegerField(),
    )
    newest = KeyFrame.objects.filter(rig=OuterRef("pk"), number__lte=OuterRef("upto"))
    rows = Rig.objects.filter(pk__in=limits).annotate(upto=upto).order_by()
    frame = Subquery(newest.order_by("-number").values("pk")[:1])
    with_frame: QuerySet[Rig, Any] = rows.annotate(frame=frame).values("frame")
    return with_frame


def _changes(later: Q) -> dict[UUID, list[tuple[int, Change]]]:
    """The changes of each rig with the numbers of their revisions, in order."""
    by_rig: dict[UUID, list[tuple[int, Change]]] = defaultdict(list)
    rows = ChangeRow.objects.filter(later).order_by("revision__number", "pk")
    for rig, number, part, kind, field, old, new in rows.values_list(
        "revision__rig_id", "revision__number", "part", "kind", "field", "old_json", "new_json"
    ):
        change = Change(str(part), kind, field, json.loads(old), json.loads(new))
        by_rig[rig].append((number, change))
    return by_rig


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
    """A field of a part, asked about after one revision of its rig and up to another.

    Both revisions are given by their primary keys. The field WHOLE stands for the part itself,
    added or retired.
    """

    part: str
    field: str
    after: int
    upto: int


def keys_of(asked_numbers: Mapping[UUID, Collection[int]]) -> dict[tuple[UUID, int], int]:
    """The primary keys of revisions, by rig and number. One query; none where all are 0."""
    asked = Q()
    for rig, numbers in asked_numbers.items():
        asked |= Q(rig=rig, number__in=set(numbers) - {0})
    rows = Revision.objects.filter(asked).values_list("rig_id", "number", "pk") if asked else []
    return {(rig, number): pk for rig, number, pk in rows}


def last_touched(touched: Collection[Touched]) -> dict[tuple[str, str], tuple[int, ...]]:
    """The newest three revisions (primary keys, oldest first) that touched each. One query.

    A part that came or went touched all of its fields.
    """
    if not touched:
        return {}
    # All questions are one JSON parameter: a query with a parameter for each would meet the limit
    # of SQLite.
    asked = json.dumps([[_key(UUID(each.part)), *each[1:]] for each in touched])
    latest: dict[tuple[str, str], tuple[int, ...]] = {}
    with connection.cursor() as cursor:
        cursor.execute(f"{_TOUCHED[connection.vendor]} {_SELECT}", [asked])
        for part, field, *revisions in cursor.fetchall():
            # Read newest first, handed out oldest first, as a history is read.
            newest = [number for number in revisions if number is not None]
            latest[str(UUID(str(part))), field] = tuple(reversed(newest))
    return latest


def _key(part: UUID) -> str:
    # Django stores a UUID as 32 hexadecimal digits where the database has no type for it.
    return part.hex if connection.vendor == "sqlite" else str(part)


def _nth(nth: int) -> str:
    """The index on part and revision is read from its newest end, and only as far as needed."""
    return f"""(SELECT c.revision_id FROM {ChangeRow._meta.db_table} c
      WHERE c.part = w.part AND (c.field = w.field OR c.field = '{WHOLE}')
        AND c.revision_id > w.low AND c.revision_id <= w.high
      ORDER BY c.revision_id DESC LIMIT 1 OFFSET {nth})"""  # noqa: S608


_SELECT = f"SELECT w.part, w.field, {_nth(0)}, {_nth(1)}, {_nth(2)} FROM touched w"  # noqa: S608
_TOUCHED = {
    "sqlite": """WITH touched (part, field, low, high) AS (
      SELECT value ->> 0, value ->> 1, value ->> 2, value ->> 3 FROM json_each(%s))""",
    "postgresql": """WITH touched (part, field, low, high) AS (
      SELECT (value ->> 0)::uuid, value ->> 1, (value ->> 2)::bigint, (value ->> 3)::bigint
      FROM jsonb_array_elements(%s::jsonb))""",
}
