"""Queries that are asked again and again, composed once.

Django puts a statement together anew each time, which takes as long as all the rest of a small
query (docs/measurements.md). Here it is put together once, with values that stand for what is
asked; then only these are exchanged. The rows become records as always.
"""

from __future__ import annotations

import copy
import json
import uuid
from collections.abc import Callable
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING, Any, Generic, NamedTuple, TypeVar

from django.db import connection, models

M = TypeVar("M", bound=models.Model)


Column = Callable[[], "models.Field[Any, Any]"]  # asked when models are there


class Several(NamedTuple):
    """An argument that is a list of what that field may hold."""

    each: Column


def column(model: type[models.Model], name: str = "pk") -> Column:
    """A field of a model, as arguments of `Composed` are given."""
    meta: Any = model._meta
    return lambda: meta.pk if name == "pk" else meta.get_field(name)


class _Statement(NamedTuple):
    """`places` says which of the arguments each parameter is; None for what is always the same."""

    rows: Any
    compiler: Any
    sql: str
    parameters: tuple[Any, ...]
    places: tuple[int | None, ...]


class Composed(Generic[M]):
    """A query by its arguments, which are given by the field that each is compared with.

        _held = Composed(lambda user, place: Membership.objects.filter(user=user, …), USER, PLACE)
        memberships = _held(user.pk, place.pk)

    The arguments may only be compared with columns: the statement is the same for all of them, so
    None is not among them. Of a list, `Several` says what each is compared with, by `among`:

        _of = Composed(lambda rigs: Note.objects.filter(rig__pk__among=rigs), Several(RIG))
    """

    def __init__(self, make: Callable[..., models.QuerySet[M]], *fields: Several | Column) -> None:
        self.make, self.fields = make, fields
        self.by_vendor: dict[str, _Statement] = {}

    def __call__(self, *values: Any) -> list[M]:
        """The records; one query."""
        known = self.by_vendor.get(connection.vendor)
        if known is None:
            known = self.by_vendor[connection.vendor] = self._composed()
        ready = [_prepared(f, value) for f, value in zip(self.fields, values, strict=True)]
        parameters = tuple(
            given if place is None else ready[place]
            for given, place in zip(known.parameters, known.places, strict=True)
        )
        compiler = copy.copy(known.compiler)
        compiler.connection = connection
        compiler.as_sql = lambda *_, **__: (known.sql, parameters)
        rows = known.rows._chain()
        rows.query.get_compiler = lambda *_, **__: compiler
        return list(rows)

    def _composed(self) -> _Statement:
        marks = [_stand_in(field, place) for place, field in enumerate(self.fields)]
        rows = self.make(*marks)
        compiler = rows.query.get_compiler(connection=connection)
        sql, parameters = compiler.as_sql()
        ready = [
            mark if isinstance(f, Several) else _prepared(f, mark)
            for f, mark in zip(self.fields, marks, strict=True)
        ]
        places = tuple(ready.index(each) if each in ready else None for each in parameters)
        if set(places) - {None} != set(range(len(marks))):
            raise ValueError("An argument is not a parameter of the statement.")
        return _Statement(rows, compiler, sql, tuple(parameters), places)


if TYPE_CHECKING:
    _Lookup = models.Lookup[Any]
else:
    _Lookup = models.Lookup


@models.Field.register_lookup
class Among(_Lookup):
    """Whether a column is among a list that is one parameter, so that the statement is the same
    however long the list: an array of PostgreSQL, and JSON on SQLite. Of a pointer: `rig__pk`."""

    lookup_name = "among"
    prepare_rhs = False

    def as_postgresql(self, compiler: Any, connection: Any) -> tuple[str, tuple[Any, ...]]:
        column, parameters = self.process_lhs(compiler, connection)
        return f"{column} = ANY(%s)", (*parameters, self.rhs)

    def as_sql(self, compiler: Any, connection: Any) -> tuple[str, tuple[Any, ...]]:
        column, parameters = self.process_lhs(compiler, connection)
        return f"{column} IN (SELECT value FROM json_each(%s))", (*parameters, self.rhs)  # noqa: S608


def _prepared(field: Several | Column, value: Any) -> Any:
    if not isinstance(field, Several):
        return field().get_db_prep_value(value, connection)
    values = [field.each().get_db_prep_value(each, connection) for each in value]
    return values if connection.vendor == "postgresql" else json.dumps(values)


def _stand_in(given: Several | Column, place: int) -> Any:
    """A value of that field that occurs nowhere else."""
    if isinstance(given, Several):
        return uuid.uuid4().hex
    field = given()
    target: Any = field.target_field if field.is_relation else field  # type: ignore[attr-defined]
    if isinstance(target, models.UUIDField):
        return uuid.uuid4()
    if isinstance(target, models.DateTimeField):
        return datetime(1900, 1, 1, microsecond=place + 1, tzinfo=UTC)
    if isinstance(target, models.DateField):
        return date(1900, 1, place + 1)
    if isinstance(target, models.IntegerField):
        return 1_900_000_000 + place
    return uuid.uuid4().hex
