"""What a migration writes by models of then, for the log to hear.

The log reads records by the models of now, whose columns may not be there yet while migrations run.
So what one wrote is remembered, and put down when all of them are through. Statements of SQL cannot
be heard in that way: one that writes rows which the log holds is refused, but for those by which
Django fills a column that may not be empty any more.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager
from contextvars import ContextVar
from functools import cache
from typing import Any

from django.db import connection, transaction
from django.db.migrations.executor import MigrationExecutor

from core.holding import holding
from core.models.proof import LogEntry
from core.owner import Model
from core.proof import entries
from core.proof.shape import shapes

_OF_THEN = "__fake__"  # the module of models that migrations are given

_WRITES = re.compile(
    r"\b(?:INSERT\s+(?:OR\s+\w+\s+)?INTO|REPLACE\s+INTO|UPDATE(?:\s+OR\s+\w+)?(?:\s+ONLY)?"
    r"|DELETE\s+FROM(?:\s+ONLY)?|MERGE\s+INTO|TRUNCATE(?:\s+TABLE)?)\s+[\"`]?(\w+)",
    re.IGNORECASE,
)
# As Django fills what was empty: on PostgreSQL in place, on SQLite on the way into the new table.
_FILLS = (
    re.compile(r'UPDATE "(\w+)" SET "(\w+)" = .+ WHERE "\2" IS NULL', re.DOTALL),
    re.compile(r'INSERT INTO "new__(\w+)" .+?coalesce\("(\w+)"', re.DOTALL),
)

_written: defaultdict[Model, set[Any]] = defaultdict(set)
_heard: ContextVar[bool] = ContextVar("log_hears", default=False)


class Unheard(Exception):
    """A migration would delete records that the log holds."""


def model_of_now(model: Model) -> Model | None:
    """The logged model of which `model` is one of then, if it is."""
    return _by_label().get(model._meta.label) if model.__module__ == _OF_THEN else None


@cache
def _by_label() -> dict[str, Model]:
    return {model._meta.label: model for model in shapes()}


def remember(model: Model, keys: Sequence[Any]) -> None:
    """That a migration wrote the records of `model`, one of now, of those primary keys."""
    _written[model].update(keys)


def refuse(model: Model) -> None:
    """Raise Unheard: what a record was called, the log could not be told afterwards."""
    raise Unheard(
        f"A migration may not delete rows of {model._meta.label}, which the log holds. Retire "
        "them, or delete them by a command, with the models of now."
    )


def heard() -> AbstractContextManager[None]:
    """The log is told of what is written within the block, or need not be."""
    return holding(_heard, True)


def listen(**_: Any) -> None:
    """Before the first migration: look at each statement. Receiver of `pre_migrate`."""
    if _look not in connection.execute_wrappers:
        connection.execute_wrappers.append(_look)


def _look(
    execute: Callable[..., Any], sql: str, params: Any, many: bool, context: dict[str, Any]
) -> Any:
    """Raises Unheard; what was written goes with the migration, which is one transaction."""
    if _heard.get() or not isinstance(sql, str):
        return execute(sql, params, many, context)
    if any(_filled(found) for pattern in _FILLS if (found := pattern.match(sql))):
        return execute(sql, params, many, context)
    result = execute(sql, params, many, context)
    for table in _WRITES.findall(sql):
        model = _by_table().get(table)
        if model and context["cursor"].rowcount != 0 and _has_log():
            raise Unheard(
                f"A migration may not write rows of {model._meta.label} by SQL: the log holds them "
                "and does not hear of it. Write them by the models that it is given."
            )
    return result


def _filled(found: re.Match[str]) -> bool:
    """Remember the rows whose empty column is filled next; whether it is of a table of ours."""
    model = _by_table().get(found[1])
    if model is None:
        return False
    quote = connection.ops.quote_name
    key = quote(str(model._meta.pk.column))
    with connection.cursor() as cursor:
        cursor.execute(
            f"SELECT {key} FROM {quote(found[1])} WHERE {quote(found[2])} IS NULL"  # noqa: S608
        )
        remember(model, [model._meta.pk.to_python(row[0]) for row in cursor.fetchall()])
    return True


@cache
def _by_table() -> dict[str, Model]:
    return {model._meta.db_table: model for model in shapes()}


def _has_log() -> bool:
    """Before there is one, nothing can be missing in it."""
    table = LogEntry._meta.db_table
    if table not in connection.introspection.table_names():
        return False
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT 1 FROM {connection.ops.quote_name(table)} LIMIT 1")  # noqa: S608
        return cursor.fetchone() is not None


def put_down(**_: Any) -> None:
    """After the last migration: entries for what they wrote. Receiver of `post_migrate`."""
    is_listening = _look in connection.execute_wrappers
    if not (_written or is_listening) or not _are_through():
        return
    if is_listening:
        connection.execute_wrappers.remove(_look)
    with transaction.atomic():
        for model, keys in _written.items():
            entries.note(model, sorted(keys, key=str))
    _written.clear()


def _are_through() -> bool:
    executor = MigrationExecutor(connection)
    return not executor.migration_plan(executor.loader.graph.leaf_nodes())
