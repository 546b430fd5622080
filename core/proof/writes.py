"""The one place through which Django writes rows, and where the log hears of it.

Saving, creating many, updating by a query and deleting, with all that goes along, end in one of
three compilers of statements. Here they are told, after (deleting: before and after) the statement,
which rows of which table it was; core.proof.entries puts these into the log in the same
transaction. What is written by statements of our own (rigs.revisions.rows) says so itself; what
migrations write is put down after the last of them (core.proof.migrated).
"""

from __future__ import annotations

from typing import Any

from django.db import connection, models, transaction
from django.db.models.sql import compiler
from django.db.models.sql.compiler import SQLAggregateCompiler, SQLCompiler
from django.db.models.sql.query import Query

from core.proof import entries, migrated
from core.proof.shape import read, shapes, touches

__all__ = [
    "SQLAggregateCompiler",
    "SQLCompiler",
    "SQLDeleteCompiler",
    "SQLInsertCompiler",
    "SQLUpdateCompiler",
]


def connect() -> None:
    """Let every connection of this process compile its writes here."""
    operations: Any = connection.ops
    type(operations).compiler_module = __name__
    # Whoever compiled something before holds on to the compilers of then.
    operations._cache = None


def _is_logged(model: type[models.Model]) -> bool:
    return model in shapes() and not entries.is_silent()


class _Heard:
    """What Django compiles needs no second look (`migrated.listen`)."""

    def execute_sql(self, *args: Any, **more: Any) -> Any:
        with migrated.heard():
            return super().execute_sql(*args, **more)  # type: ignore[misc]


class SQLInsertCompiler(_Heard, compiler.SQLInsertCompiler):
    def execute_sql(self, returning_fields: Any = None) -> Any:  # type: ignore[override]
        model: Any = self.query.model
        if now := migrated.model_of_now(model):
            rows = super().execute_sql(returning_fields)
            migrated.remember(now, _inserted(self.query, returning_fields, rows))
            return rows
        if not _is_logged(model):
            return super().execute_sql(returning_fields)
        with transaction.atomic(using=self.using, savepoint=False):
            rows = super().execute_sql(returning_fields)
            entries.note(model, _inserted(self.query, returning_fields, rows))
        return rows


def _inserted(query: Any, returning: Any, rows: Any) -> list[Any]:
    """The primary keys of what an insertion wrote."""
    key = query.model._meta.pk
    known = [obj.pk for obj in query.objs if obj.pk is not None]
    if len(known) == len(query.objs):
        return known
    if rows and returning and key in returning:
        return [row[list(returning).index(key)] for row in rows]
    # Written unless it was there: as Django adds to relations of many to many.
    names = query.model._meta.unique_together[0]
    either = models.Q()
    for obj in query.objs:
        either |= models.Q(**{name: getattr(obj, f"{name}_id") for name in names})
    return list(query.model._base_manager.filter(either).values_list("pk", flat=True))


class SQLUpdateCompiler(_Heard, compiler.SQLUpdateCompiler):
    def execute_sql(self, result_type: Any) -> Any:  # type: ignore[override]
        model: Any = self.query.model
        if now := migrated.model_of_now(model):
            keys = _keys(self.query) if _matters(self.query, now) else []
            count = super().execute_sql(result_type)
            migrated.remember(now, keys)
            return count
        if not _is_logged(model) or not _matters(self.query, model):
            return super().execute_sql(result_type)
        with transaction.atomic(using=self.using, savepoint=False):
            keys = _keys(self.query)  # before, because the update may change what it asks for
            count = super().execute_sql(result_type)
            if keys:
                entries.note(model, keys)
        return count


def _matters(query: Any, model: type[models.Model]) -> bool:
    """Whether it sets a column of `model` that goes into the log."""
    return touches(model, [field.name for field, _, _ in query.values])


def _keys(query: Any) -> list[Any]:
    where = query.where
    if len(where.children) == 1 and not where.negated and not query.related_updates:
        only = where.children[0]
        is_key = getattr(getattr(only, "lhs", None), "target", None) is query.model._meta.pk
        if is_key and only.lookup_name == "exact":
            return [only.rhs]
        if is_key and only.lookup_name == "in" and isinstance(only.rhs, list | tuple | set):
            return list(only.rhs)
    return list(_asked(query).values_list("pk", flat=True))


def _asked(query: Any) -> models.QuerySet[Any]:
    """The rows that a statement is about, as a query of its own."""
    same = query.chain(klass=Query)
    same.clear_ordering(force=True)
    return models.QuerySet(model=query.model, query=same)


class SQLDeleteCompiler(_Heard, compiler.SQLDeleteCompiler):
    def execute_sql(self, result_type: Any = None, *args: Any, **more: Any) -> Any:
        model: Any = self.query.model
        if now := migrated.model_of_now(model):
            migrated.refuse(now)
        if not _is_logged(model):
            return super().execute_sql(result_type, *args, **more)
        with transaction.atomic(using=self.using, savepoint=False):
            gone = [(row.production, row.key) for row in read(model, _asked(self.query))]
            result = super().execute_sql(result_type, *args, **more)
            entries.note_gone(model, gone)
        return result
