"""Whatever byte of a stored revision is changed behind the program's back, verify finds it."""

from __future__ import annotations

import random
from typing import Any

import pytest
from django.db import DatabaseError, connection, transaction

from core.append_only import append_only_tables, missing_triggers, trigger_names
from rigs.models import ChangeRow, KeyFrame, Revision
from rigs.revisions.verify import BrokenHistory, verify_rig
from tests.support.world import HIRE, World

STORED = [
    (Revision, "reason_words"),
    (Revision, "reason_kind"),
    (Revision, "author_name"),
    (Revision, "reason_notes"),
    (Revision, "parent_digest"),
    (Revision, "digest"),
    (Revision, "at"),
    (Revision, "restored"),
    (Revision, "number"),
    (Revision, "author_id"),
    (ChangeRow, "part"),
    (ChangeRow, "kind"),
    (ChangeRow, "field"),
    (ChangeRow, "old_json"),
    (ChangeRow, "new_json"),
    (KeyFrame, "body"),
    (KeyFrame, "body_sha256"),
    (KeyFrame, "number"),
]


@pytest.fixture
def history(world: World) -> World:
    world.turn("3:00")
    world.swap(world.other_mic, HIRE)
    world.turn("1:30")
    world.rig.refresh_from_db()
    return world


def let_writes_through() -> None:
    """Somebody with the database's password can drop the triggers; verify must still notice."""
    with connection.cursor() as cursor:
        for table in append_only_tables():
            for name in trigger_names(table):
                place = f' ON "{table}"' if connection.vendor == "postgresql" else ""
                cursor.execute(f"DROP TRIGGER {name}{place}")


def altered(value: Any, spin: random.Random) -> Any:
    """The value with one byte (or one step) changed."""
    if value is None:
        return 1
    if isinstance(value, int):
        return value + 100
    if isinstance(value, bytes | memoryview):
        data = bytearray(value)
        data[spin.randrange(len(data))] ^= 1 << spin.randrange(8)
        return bytes(data)
    if isinstance(value, str):
        if not value:
            return "x"
        at = spin.randrange(len(value))
        return value[:at] + ("#" if value[at] != "#" else "%") + value[at + 1 :]
    if hasattr(value, "microsecond"):
        return value.replace(microsecond=(value.microsecond + 1) % 1_000_000)
    return type(value)(int=value.int ^ 1)  # a UUID


def test_an_untouched_history_verifies(history: World) -> None:
    assert verify_rig(history.rig) == 4


@pytest.mark.parametrize(("model", "column"), STORED, ids=lambda v: getattr(v, "__name__", v))
def test_a_changed_byte_is_found(history: World, model: Any, column: str) -> None:
    let_writes_through()
    spin = random.Random(7)
    for row in list(model.objects.all()):
        if column == "author_id":
            row.author_id = history.outsider.pk
        else:
            setattr(row, column, altered(getattr(row, column), spin))
        sid = transaction.savepoint()
        model.objects.filter(pk=row.pk).update(**{column: getattr(row, column)})
        with pytest.raises(BrokenHistory):
            verify_rig(history.rig)
        transaction.savepoint_rollback(sid)


def test_any_byte_of_a_kept_whole_state_matters(history: World) -> None:
    let_writes_through()
    frame = KeyFrame.objects.get()
    whole = bytes(frame.body)
    for at in [0, 1, len(whole) - 1, *range(2, len(whole) - 1, 29)]:
        body = whole[:at] + bytes([whole[at] ^ 1]) + whole[at + 1 :]
        KeyFrame.objects.filter(pk=frame.pk).update(body=body)
        with pytest.raises(BrokenHistory):
            verify_rig(history.rig)


def test_a_missing_row_is_found(history: World) -> None:
    let_writes_through()
    ChangeRow.objects.filter(revision__number=2).delete()
    with pytest.raises(BrokenHistory, match="change 2 is not what was written"):
        verify_rig(history.rig)


def test_a_write_around_the_gateway_is_found(history: World) -> None:
    with connection.cursor() as cursor:
        cursor.execute("UPDATE rigs_control SET setting = '5:00'")
    with pytest.raises(BrokenHistory, match="changed without a record: control .* setting"):
        verify_rig(history.rig)


@pytest.mark.parametrize("statement", ["UPDATE {} SET id = id", "DELETE FROM {}"])
def test_the_database_itself_refuses_to_touch_history(history: World, statement: str) -> None:
    for table in ("rigs_revision", "rigs_changerow", "rigs_keyframe"):
        sid = transaction.savepoint()
        with pytest.raises(DatabaseError, match="append-only"), connection.cursor() as cursor:
            cursor.execute(statement.format(table))
        transaction.savepoint_rollback(sid)


def test_a_missing_trigger_is_noticed(history: World) -> None:
    assert missing_triggers(connection) == []
    let_writes_through()
    assert "rigs_revision_no_update" in missing_triggers(connection)
