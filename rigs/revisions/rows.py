"""Read, insert and update rows by statements that are composed once.

Every edit runs the same few statements, and composing them anew each time costs more than running
them does (docs/measurements.md). The texts come from Django's own compiler, or are plain enough to
be written here; values go through the fields' own conversions, as in the ORM.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import cache
from typing import Any, TypeVar

from django.db import connection, models

from core.proof import entries
from core.proof.shape import shapes, touches

M = TypeVar("M", bound=models.Model)


def fetch(model: type[M], ids: Sequence[Any], *, lock: bool = False) -> list[M]:
    """The rows of those primary keys that exist. `lock` holds them until the transaction ends."""
    statement, names, converters = _select(model, connection.vendor, len(ids), lock)
    key = model._meta.pk
    with connection.cursor() as cursor:
        cursor.execute(statement, [key.get_db_prep_value(i, connection) for i in ids])
        rows = cursor.fetchall()
    return [_instance(model, names, converters, row) for row in rows]


@cache
def _select(model: type[models.Model], vendor: str, count: int, lock: bool) -> tuple[Any, ...]:
    quote = connection.ops.quote_name
    fields = model._meta.concrete_fields
    columns = ", ".join(quote(_column(field)) for field in fields)
    holes = ", ".join(["%s"] * count)
    key = quote(_column(model._meta.pk))
    tail = " FOR UPDATE" if lock and connection.features.has_select_for_update else ""
    statement = (
        f"SELECT {columns} FROM {quote(model._meta.db_table)} WHERE {key} IN ({holes}){tail}"  # noqa: S608
    )
    converters = []
    for position, field in enumerate(fields):
        column = field.get_col(model._meta.db_table)
        steps = connection.ops.get_db_converters(column) + field.get_db_converters(connection)
        if steps:
            converters.append((position, steps, column))
    return statement, [field.attname for field in fields], converters


def _instance(model: type[M], names: list[str], converters: Any, row: Sequence[Any]) -> M:
    values = list(row)
    for position, steps, column in converters:
        for step in steps:
            values[position] = step(values[position], column, connection)
    return model.from_db(connection.alias, names, values)


def insert(model: type[models.Model], rows: Iterable[models.Model]) -> None:
    """Insert rows that have no key yet; a single row is given the key the database made."""
    statement, fields = _insert(model, connection.vendor)
    made = list(rows)
    values = [[f.get_db_prep_save(r.__dict__[f.attname], connection) for f in fields] for r in made]
    with connection.cursor() as cursor:
        if len(made) == 1:
            cursor.execute(f"{statement} RETURNING {connection.ops.quote_name('id')}", values[0])
            made[0].pk = cursor.fetchone()[0]
            made[0]._state.adding = False
            made[0]._state.db = connection.alias
        else:
            cursor.executemany(statement, values)


@cache
def _insert(model: type[models.Model], vendor: str) -> tuple[str, list[models.Field[Any, Any]]]:
    quote = connection.ops.quote_name
    fields = [field for field in model._meta.concrete_fields if not field.primary_key]
    columns = ", ".join(quote(_column(field)) for field in fields)
    holes = ", ".join(["%s"] * len(fields))
    table = quote(model._meta.db_table)
    return f"INSERT INTO {table} ({columns}) VALUES ({holes})", fields  # noqa: S608


def update(model: type[models.Model], pk: Any, values: Mapping[str, Any]) -> None:
    """Set columns, named by attribute, of one row."""
    fields = [_field(model, name) for name in values]
    quote = connection.ops.quote_name
    sets = ", ".join(f"{quote(_column(field))} = %s" for field in fields)
    key = model._meta.pk
    prepared = [
        field.get_db_prep_save(value, connection)
        for field, value in zip(fields, values.values(), strict=True)
    ]
    prepared.append(key.get_db_prep_value(pk, connection))
    table = quote(model._meta.db_table)
    statement = f"UPDATE {table} SET {sets} WHERE {quote(_column(key))} = %s"  # noqa: S608
    with connection.cursor() as cursor:
        cursor.execute(statement, prepared)
    # Parts are in the log by their rig's changes; a rig itself also says whose it is.
    if model in shapes() and touches(model, [field.name for field in fields]):
        entries.note(model, [pk])


def _column(field: models.Field[Any, Any]) -> str:
    assert field.column is not None  # noqa: S101 - concrete fields have one
    return field.column


@cache
def _field(model: type[models.Model], attname: str) -> models.Field[Any, Any]:
    return next(f for f in model._meta.concrete_fields if f.attname == attname)
