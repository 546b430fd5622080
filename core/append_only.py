"""Tables whose rows are written once: the database refuses to update or delete them.

A model asks for it with APPEND_ONLY = True; one whose rows may be changed in one way says in
UPDATE_REFUSED_WHEN which changes are refused all the same, as a condition in SQL. The triggers are
(re)made after every migrate, because SQLite drops a table's triggers when a later migration
rebuilds the table.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from django.apps import apps
from django.db import connections, models, transaction
from django.db.backends.base.base import BaseDatabaseWrapper

_PG_FUNCTION = """
CREATE OR REPLACE FUNCTION toneledger_append_only() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  RAISE EXCEPTION 'append-only: % of % is refused', TG_OP, TG_TABLE_NAME
    USING ERRCODE = 'integrity_constraint_violation';
END $$"""


def is_append_only(model: type[models.Model]) -> bool:
    return bool(getattr(model, "APPEND_ONLY", False))


def append_only_tables() -> list[str]:
    return [m._meta.db_table for m in apps.get_models() if is_append_only(m)]


def trigger_names(table: str) -> list[str]:
    return [f"{table}_no_update", f"{table}_no_delete"]


def ensure_triggers(connection: BaseDatabaseWrapper) -> None:
    """Make the triggers of every append-only table that exists. Safe to run again."""
    # post_migrate runs for each app, and at the first of them the tables of the others may be
    # missing.
    existing = set(connection.introspection.table_names())
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(_PG_FUNCTION)
        for table in append_only_tables():
            if table in existing:
                for statement in _statements(connection.vendor, table):
                    cursor.execute(statement)


@contextmanager
def set_aside(connection: BaseDatabaseWrapper) -> Iterator[None]:
    """Let the triggers stand aside, and make them again afterwards.

    Only for removing what was never history, such as the demonstration, and inside a transaction:
    there the tables stay locked until its end, so that nobody finds them without protection.
    """
    with connection.cursor() as cursor:
        for table in append_only_tables():
            for name in trigger_names(table):
                place = f' ON "{table}"' if connection.vendor == "postgresql" else ""
                cursor.execute(f"DROP TRIGGER IF EXISTS {name}{place}")
    try:
        yield
    except BaseException:
        if not connection.in_atomic_block:  # else they come back with what is rolled back
            ensure_triggers(connection)
        raise
    ensure_triggers(connection)


def _statements(vendor: str, table: str) -> list[str]:
    events = zip(trigger_names(table), ("UPDATE", "DELETE"), strict=True)
    if vendor == "postgresql":
        return [
            f'CREATE OR REPLACE TRIGGER {name} BEFORE {event} ON "{table}" '
            f"FOR EACH ROW {_when(vendor, table, event)}EXECUTE FUNCTION toneledger_append_only()"
            for name, event in events
        ]
    return [
        f'CREATE TRIGGER IF NOT EXISTS {name} BEFORE {event} ON "{table}" '
        f"{_when(vendor, table, event)}"
        # ABORT undoes the statement alone; the transaction it stands in goes on and can be rolled
        # back.
        f"BEGIN SELECT RAISE(ABORT, 'append-only: {event} of {table} is refused'); END"
        for name, event in events
    ]


def _when(vendor: str, table: str, event: str) -> str:
    """The condition of a trigger, with a space after it; nothing where every change is refused."""
    model = next(m for m in apps.get_models() if m._meta.db_table == table)
    condition = getattr(model, "UPDATE_REFUSED_WHEN", "") if event == "UPDATE" else ""
    # SQLite compares with IS what may be empty, PostgreSQL with the words of the standard.
    other = "IS DISTINCT FROM" if vendor == "postgresql" else "IS NOT"
    return f"WHEN ({condition.format(other=other)}) " if condition else ""


def missing_triggers(connection: BaseDatabaseWrapper) -> list[str]:
    """Names of triggers that ought to be there and are not."""
    query = (
        # A trigger that somebody disabled is as good as none.
        "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal AND tgenabled <> 'D'"
        if connection.vendor == "postgresql"
        else "SELECT name FROM sqlite_master WHERE type = 'trigger'"
    )
    with connection.cursor() as cursor:
        cursor.execute(query)
        there = {row[0] for row in cursor.fetchall()}
    expected = [name for table in append_only_tables() for name in trigger_names(table)]
    return [name for name in expected if name not in there]


def unprotected(connection: BaseDatabaseWrapper) -> list[str]:
    """What is wrong with the triggers, in words: missing, or saying something else."""
    wrong = [f"trigger {name} is missing" for name in missing_triggers(connection)]
    changed = _changed_pg if connection.vendor == "postgresql" else _changed_sqlite
    return wrong + [f"{what} does not say what it ought to" for what in changed(connection)]


def _changed_sqlite(connection: BaseDatabaseWrapper) -> Iterator[str]:
    with connection.cursor() as cursor:
        cursor.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
        there = dict(cursor.fetchall())
    for table in append_only_tables():
        for name, statement in zip(trigger_names(table), _statements("sqlite", table), strict=True):
            # The file keeps what it was told, without these words.
            if there.get(name, expected := statement.replace("IF NOT EXISTS ", "")) != expected:
                yield f"trigger {name}"


def _changed_pg(connection: BaseDatabaseWrapper) -> Iterator[str]:
    with connection.cursor() as cursor:
        cursor.execute(_PG_FUNCTIONS)
        # Between the two pairs of $$ stands what the function does.
        if [row[0] for row in cursor.fetchall()] != [_PG_FUNCTION.split("$$")[1]]:
            yield "function toneledger_append_only"
        cursor.execute(_PG_TRIGGERS)
        there = {name: tuple(rest) for name, *rest in cursor.fetchall()}
    for table in append_only_tables():
        for name, kind in zip(trigger_names(table), (_ROW_UPDATE, _ROW_DELETE), strict=True):
            expected = (table, kind, "toneledger_append_only", _condition(connection, table, kind))
            if there.get(name, expected) != expected:
                yield f"trigger {name}"


def _condition(connection: BaseDatabaseWrapper, table: str, kind: int) -> str:
    """When the trigger is to refuse, as PostgreSQL spells it: read off one made for the purpose."""
    when = _when("postgresql", table, "UPDATE") if kind == _ROW_UPDATE else ""
    if not when:
        return ""
    with transaction.atomic(using=connection.alias), connection.cursor() as cursor:
        cursor.execute(f'CREATE TEMP TABLE toneledger_like (LIKE "{table}")')
        cursor.execute(
            "CREATE TRIGGER alike BEFORE UPDATE ON toneledger_like "
            f"FOR EACH ROW {when}EXECUTE FUNCTION toneledger_append_only()"
        )
        cursor.execute(f"SELECT {_PG_WHEN} FROM pg_trigger WHERE tgname = 'alike'")  # noqa: S608
        spelt = str(cursor.fetchone()[0])
        cursor.execute("DROP TABLE toneledger_like")
    return spelt


_PG_FUNCTIONS = "SELECT prosrc FROM pg_proc WHERE proname = 'toneledger_append_only'"
_PG_WHEN = "coalesce(substring(pg_get_triggerdef(oid) from ' WHEN .* EXECUTE '), '')"
_PG_TRIGGERS = """SELECT tgname, relname, tgtype, proname,
    coalesce(substring(pg_get_triggerdef(pg_trigger.oid) from ' WHEN .* EXECUTE '), '')
  FROM pg_trigger JOIN pg_class c ON c.oid = tgrelid JOIN pg_proc p ON p.oid = tgfoid
  WHERE NOT tgisinternal"""
# pg_trigger.tgtype: 1 for each row, 2 before, 8 at a deletion, 16 at an update.
_ROW_UPDATE, _ROW_DELETE = 1 + 2 + 16, 1 + 2 + 8


def after_migrate(using: str, **_: Any) -> None:
    ensure_triggers(connections[using])
