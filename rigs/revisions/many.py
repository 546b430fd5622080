"""Read several rigs, each as of a revision, and find the revisions that last touched a field.

The number of queries is the same for one rig as for many, and the effort does not grow with the
length of the histories.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import datetime
from typing import NamedTuple
from uuid import UUID

from django.db import connection
from django.db.models import OuterRef, Q, Subquery
from django.db.models.functions import Coalesce

from rigs.changes.chain import unpack
from rigs.changes.diff import apply
from rigs.changes.edits import WHOLE, Change, Snapshot, Value
from rigs.models import ChangeRow, KeyFrame, Revision, Rig
from rigs.revisions.writer import KEY_FRAME_EVERY


def as_of_many(numbers: Mapping[UUID, int]) -> dict[UUID, Snapshot]:
    """Each rig (by id) as it was after the revision named; 0 is the empty rig. Two queries."""
    return {rig: state for (rig, _), state in as_of_each(numbers.items()).items()}


State = tuple[UUID, int]  # a rig and one of its revisions, by number


def states_of(asked: Iterable[tuple[Rig, int]]) -> dict[State, Snapshot]:
    """As `as_of_each`; what was read of a `Rig` once is not read again. Not to be written to.

    Parts of a page ask for the same states, and a state of the past stays as it is.
    """
    wanted = list(asked)
    missing = [(rig.pk, n) for rig, n in wanted if n not in rig.states_read]
    read = as_of_each(missing) if missing else {}
    for rig, number in wanted:
        if number not in rig.states_read:
            rig.states_read[number] = read[rig.pk, number]
    return {(rig.pk, number): rig.states_read[number] for rig, number in wanted}


def newest(rig: Rig) -> Snapshot:
    """The rig as it is, by its history. Two queries, where `live` has one for each kind of part."""
    return states_of([(rig, rig.head_number)])[rig.pk, rig.head_number]


def parts_read(rigs: Iterable[Rig]) -> dict[str, Mapping[str, Value]]:
    """The parts of `rigs` as they are, by their ids, of those whose newest states were read."""
    return {
        part: known
        for rig in rigs
        for part, known in rig.states_read.get(rig.head_number, {}).items()
    }


def as_of_each(asked: Iterable[State]) -> dict[State, Snapshot]:
    """Each rig as it was after each revision named of it; 0 is the empty rig. Two queries."""
    states = list(dict.fromkeys(asked))
    frames = _frames([state for state in states if state[1]])
    upto: dict[State, int] = {}  # the last revision to replay on each frame
    for rig, number in states:
        # Asked for even where the frame is the revision itself: two queries are two queries.
        if number:
            start, _ = frames.get((rig, number), _NO_FRAME)
            upto[rig, start] = max(number, upto.get((rig, start), 0))
    changes = _changes(upto)
    return {
        (rig, number): _after(frames.get((rig, number), _NO_FRAME), changes.get(rig, ()), number)
        for rig, number in states
    }


Frame = tuple[int, bytes]  # the number of a revision, and the packed state after it
_NO_FRAME: Frame = (0, b"")


def _after(frame: Frame, changes: Iterable[tuple[int, Change]], number: int) -> Snapshot:
    """The state of a frame after the changes up to `number`."""
    start, body = frame
    later = (change for revision, change in changes if start < revision <= number)
    return apply(unpack(body) if body else {}, later)


def _frames(states: Sequence[State]) -> dict[State, Frame]:
    """The newest key frame at or before each state, where there is one."""
    if not states:
        return {}
    # A plain statement, as in read.py: composing it took longer than reading the answer.
    asked = json.dumps([[_key(rig), number] for rig, number in states])
    with connection.cursor() as cursor:
        cursor.execute(_FRAMES[connection.vendor], [asked])
        return {
            states[at]: (number, bytes(body))
            for at, number, body in cursor.fetchall()
            if number is not None
        }


_NEWEST_FRAME = f"""(SELECT k.{{}} FROM {KeyFrame._meta.db_table} k
  WHERE k.rig_id = a.rig AND k.number <= a.number ORDER BY k.number DESC LIMIT 1)"""  # noqa: S608
_FROM_ASKED = f"SELECT a.at, {_NEWEST_FRAME.format('number')}, {_NEWEST_FRAME.format('body')}"
_FRAMES = {
    "sqlite": f"""WITH a (at, rig, number) AS (
      SELECT key, value ->> 0, value ->> 1 FROM json_each(%s)) {_FROM_ASKED} FROM a""",  # noqa: S608
    "postgresql": f"""WITH a (at, rig, number) AS (
      SELECT nth - 1, (value ->> 0)::uuid, (value ->> 1)::bigint
      FROM jsonb_array_elements(%s::jsonb) WITH ORDINALITY AS each (value, nth))
      {_FROM_ASKED} FROM a""",  # noqa: S608
}


def _changes(upto: Mapping[State, int]) -> dict[UUID, list[tuple[int, Change]]]:
    """The changes of each rig with the numbers of their revisions, in order: for each frame those
    after it, up to the revision named."""
    by_rig: dict[UUID, list[tuple[int, Change]]] = defaultdict(list)
    if not upto:
        return by_rig
    # The numbers stand in the statement, so that the database sees how few rows each asks for.
    one = "(r.rig_id = %s AND r.number > %s AND r.number <= %s)"
    spans = " OR ".join([one] * len(upto))
    values = [value for (rig, start), end in upto.items() for value in (_key(rig), start, end)]
    with connection.cursor() as cursor:
        cursor.execute(_CHANGES.format(spans), values)
        for rig, number, part, kind, field, old, new in cursor.fetchall():
            change = Change(str(_id(part)), kind, field, json.loads(old), json.loads(new))
            by_rig[_id(rig)].append((number, change))
    return by_rig


_CHANGES = f"""SELECT r.rig_id, r.number, c.part, c.kind, c.field, c.old_json, c.new_json
  FROM {ChangeRow._meta.db_table} c JOIN {Revision._meta.db_table} r ON r.id = c.revision_id
  WHERE {{}} ORDER BY r.number, c.id"""  # noqa: S608


def _id(stored: UUID | str) -> UUID:
    return stored if isinstance(stored, UUID) else UUID(stored)


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
