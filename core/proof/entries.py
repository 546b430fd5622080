"""Put into the log what was just written, in the transaction that wrote it.

Entries of a production stand in the order of their ids. PostgreSQL hands ids out before their
transactions end, so an entry with a smaller id could appear behind a checkpoint that did not know
it. Therefore whoever writes one holds a lock that many may share, taken before the id, until its
transaction ends; a checkpoint takes it for itself for a moment (`settled`), and knows then that all
smaller ids are there. SQLite has one writer at a time.
"""

from __future__ import annotations

import time
from collections.abc import Iterable, Iterator, Sequence
from contextlib import AbstractContextManager
from contextvars import ContextVar
from functools import cache
from typing import Any, NamedTuple
from uuid import UUID

import rfc8785
from django.db import connection, models, transaction
from django.db.models import Max

from core import clock
from core.holding import holding
from core.models.proof import LogEntry, LogSalt
from core.owner import Model
from core.personal.commitments import new_salt
from core.proof.key import key_if_usable
from core.proof.merkle import leaf_hash
from core.proof.shape import Row, digest_of, has_texts, read, shapes
from core.tables import name_of, to_json

GONE = b""
_AT_ONCE = 500
_PATIENCE_S, _AGAIN_S = 5.0, 0.01

_silent: ContextVar[bool] = ContextVar("log_silent", default=False)


class Entry(NamedTuple):
    """What an entry says. `at` is as digests spell moments."""

    table: str
    key: str
    digest: bytes
    at: str

    def body(self) -> bytes:
        """The leaf: canonical JSON (RFC 8785)."""
        said = {"at": self.at, "digest": self.digest.hex(), "key": self.key, "table": self.table}
        return rfc8785.dumps(said)

    def leaf(self) -> bytes:
        """The hash of the leaf in the tree of its production."""
        return leaf_hash(self.body())


def silent() -> AbstractContextManager[None]:
    """Write nothing into the log within the block: what is loaded brings its log along."""
    return holding(_silent, True)


def is_silent() -> bool:
    return _silent.get()


def note(model: Model, keys: Sequence[Any]) -> None:
    """Put into the log what the records of those primary keys say now. In a transaction."""
    for start in range(0, len(keys), _AT_ONCE):
        rows = models.QuerySet[Any](model=model).filter(pk__in=keys[start : start + _AT_ONCE])
        put_down(model, read(model, rows.order_by("pk")))


def put_down(model: Model, rows: Iterable[Row]) -> None:
    """An entry for each of `rows`, with a salt of its own for those that hold texts."""
    shape, read_rows = shapes()[model], list(rows)
    salts = {row.key: new_salt() for row in has_texts(read_rows)}
    _store_salts(shape.table, read_rows, salts)
    write(
        (row.production, shape.table, row.key, digest_of(shape, row, salts.get(row.key, "")))
        for row in read_rows
    )


def _store_salts(table: str, rows: list[Row], salts: dict[str, str]) -> None:
    made = [
        LogSalt(production_id=row.production, table=table, key=row.key, salt=salts[row.key])
        for row in rows
        if row.key in salts
    ]
    LogSalt.objects.bulk_create(
        made,
        update_conflicts=True,
        update_fields=["salt"],
        unique_fields=["production", "table", "key"],
    )


def note_gone(model: Model, gone: Sequence[tuple[Any, str]]) -> None:
    """Put into the log that records, by production and key, were deleted."""
    table = shapes()[model].table
    by_production: dict[Any, list[str]] = {}
    for production, key in gone:
        by_production.setdefault(production, []).append(key)
    for production, keys in by_production.items():
        for start in range(0, len(keys), _AT_ONCE):
            some = keys[start : start + _AT_ONCE]
            LogSalt.objects.filter(production=production, table=table, key__in=some).delete()
    write((production, table, key, GONE) for production, key in gone)


def note_sealed(model: Model, production: UUID, key: str, digest: str) -> None:
    """Put into the log a record that has its digest in a column, without reading it again."""
    if not is_silent():
        write([(production, name_of(model), key, bytes.fromhex(digest))])


def write(said: Iterable[tuple[UUID, str, str, bytes]]) -> None:
    """Entries by production, table, key and digest, all of this moment. In a transaction."""
    at, key = clock.now(), key_if_usable()
    moment = to_json(at)
    rows = []
    for production, table, name, digest in said:
        mark = key.mark(marked(production, Entry(table, name, digest, moment))) if key else b""
        rows.append([*_lock(production), production, table, name, digest, at, mark])
    with connection.cursor() as cursor:
        if len(rows) == 1:  # of an edit; a pipeline for one statement would cost more than it does
            cursor.execute(_statement(connection.vendor), _prepared(rows[0]))
        elif rows:
            cursor.executemany(_statement(connection.vendor), [_prepared(row) for row in rows])


def marked(production: UUID, entry: Entry) -> bytes:
    """What the mark of an entry is over."""
    return production.bytes + entry.body()


def _lock(production: UUID) -> list[int]:
    return [lock_of(production)] if connection.vendor == "postgresql" else []


def lock_of(production: UUID) -> int:
    """The number of the lock of its log. That two productions share one does no harm."""
    return int.from_bytes(production.bytes[:8], "big", signed=True) ^ 0x6C6F67


_COLUMNS: tuple[Any, ...] = tuple(
    LogEntry._meta.get_field(name)
    for name in ("production", "table", "key", "digest", "at", "mark")
)


@cache
def _statement(vendor: str) -> str:
    quote = connection.ops.quote_name
    names = [str(field.column) for field in _COLUMNS]
    table = quote(LogEntry._meta.db_table)
    into = f"INSERT INTO {table} ({', '.join(map(quote, names))})"  # noqa: S608
    if vendor != "postgresql":
        return f"{into} VALUES ({', '.join(['%s'] * len(names))})"
    # One statement, because every edit pays for it. The lock is taken below the row that is
    # inserted, and so before its id is drawn.
    return (
        f"WITH held AS MATERIALIZED (SELECT pg_advisory_xact_lock_shared(%s)) {into} "  # noqa: S608
        "SELECT %s::uuid, %s, %s, %s::bytea, %s::timestamptz, %s::bytea FROM held"
    )


def _prepared(row: list[Any]) -> list[Any]:
    before, values = row[: -len(_COLUMNS)], row[-len(_COLUMNS) :]
    fields = zip(_COLUMNS, values, strict=True)
    return before + [field.get_db_prep_save(value, connection) for field, value in fields]


class Busy(Exception):
    """Others wrote into the log all the while. Nothing is lost; try again later."""


def settled(production: UUID, patience_s: float = _PATIENCE_S) -> int:
    """The id up to which the log of `production` will never change; 0 where it has no entry.

    Outside of a transaction that wrote into the log. Raises Busy.
    """
    until = time.monotonic() + patience_s
    while True:
        with transaction.atomic():
            if _alone(production):
                return _last(production)
        # Asked for again rather than waited for: whoever waits here would make writers wait that
        # hold what the ones before them need.
        if time.monotonic() > until:
            raise Busy(f"The log of {production} did not come to rest; try again.")
        time.sleep(_AGAIN_S)


def resting(production: UUID, without: Sequence[str] = ()) -> int | None:
    """As `settled`, without waiting: None where somebody writes into that log just now. Entries of
    the tables `without` do not count."""
    if connection.vendor != "postgresql":
        return _last(production, without)  # a transaction would wait for whoever writes
    with transaction.atomic():
        return _last(production, without) if _alone(production) else None


def _alone(production: UUID) -> bool:
    if connection.vendor != "postgresql":
        return True
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_try_advisory_xact_lock(%s)", [lock_of(production)])
        return bool(cursor.fetchone()[0])


def _last(production: UUID, without: Sequence[str] = ()) -> int:
    rows = LogEntry.objects.filter(production=production).exclude(table__in=without)
    return int(rows.aggregate(n=Max("pk"))["n"] or 0)


class Stored(NamedTuple):
    """An entry as it is in the table."""

    id: int
    entry: Entry
    mark: bytes


def entries_of(production: UUID, *, after: int = 0, until: int | None = None) -> Iterator[Stored]:
    """In their order: those with an id above `after`, up to `until`. A row at a time."""
    rows = LogEntry.objects.filter(production=production, pk__gt=after).order_by("pk")
    if until is not None:
        rows = rows.filter(pk__lte=until)
    for pk, table, key, digest, at, mark in rows.values_list(
        "pk", "table", "key", "digest", "at", "mark"
    ).iterator(chunk_size=5000):
        yield Stored(pk, Entry(table, key, bytes(digest), to_json(at)), bytes(mark))
