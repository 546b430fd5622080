"""The small world, made by the services once in each process of the run; later tests get its rows.

Making it asks some two hundred things of the database, and most tests begin with it.
"""

from __future__ import annotations

from copy import deepcopy
from functools import cache
from typing import Any, NamedTuple

from django.apps import apps
from django.db import connection, models, transaction

from core.models import PersonalText
from core.personal import opening
from core.personal.commitments import reference
from core.personal.store import forget_remembered
from tests.support.world import World, make_world

Row = tuple[Any, ...]


class Table(NamedTuple):
    """A table and its columns that can be written, the primary key first."""

    name: str
    columns: tuple[str, ...]

    def read(self) -> list[Row]:
        with connection.cursor() as cursor:
            cursor.execute(f"SELECT {self._named()} FROM {self._quoted(self.name)}")
            return cursor.fetchall()

    def write(self, rows: list[Row]) -> None:
        values = ", ".join(["%s"] * len(self.columns))
        sql = f"INSERT INTO {self._quoted(self.name)} ({self._named()}) VALUES ({values})"
        with connection.cursor() as cursor:
            cursor.executemany(sql, rows)

    def _named(self) -> str:
        return ", ".join(map(self._quoted, self.columns))

    def _quoted(self, name: str) -> str:
        return connection.ops.quote_name(name)


class Made(NamedTuple):
    world: World
    rows: dict[Table, list[Row]]


_made: list[Made] = []


@cache
def _tables() -> tuple[Table, ...]:
    return tuple(
        _table(model)
        for model in apps.get_models(include_auto_created=True)
        if model._meta.managed and not model._meta.proxy
    )


def _table(model: type[models.Model]) -> Table:
    # What the database computes by itself cannot be written.
    fields = [field for field in model._meta.local_concrete_fields if not field.generated]
    fields.sort(key=lambda field: not field.primary_key)
    return Table(model._meta.db_table, tuple(str(field.column) for field in fields))


def _make() -> World:
    before = {table: {row[0] for row in table.read()} for table in _tables()}
    world = make_world()
    rows = {
        table: [row for row in table.read() if row[0] not in before[table]] for table in _tables()
    }
    _made.append(Made(deepcopy(world), {table: found for table, found in rows.items() if found}))
    return world


def put_world() -> World:
    """A production with one person in each role, a bass player and a documented bass rig."""
    world = _put() if _made else _make()
    _remember_its_texts()
    return world


def _put() -> World:
    made = _made[0]
    with transaction.atomic():
        for table, rows in made.rows.items():
            table.write(rows)
    return deepcopy(made.world)


def _remember_its_texts() -> None:
    """The process knows the same before each test, whatever other tests opened or emptied:
    a page asks for what is not remembered, and tests count what pages ask."""
    forget_remembered()
    for row in PersonalText.objects.filter(removal=None):
        opening.remember(reference(row.commitment), row.text)
    opening.forgotten_people()
