"""Put many rows into a table in one go: COPY on PostgreSQL, many values on SQLite.

Neither the log nor what is kept apart of people hears of it: whoever writes this way puts both in.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.db import connection, models

Rows = Sequence[tuple[Any, ...]]


def put(model: type[models.Model], names: Sequence[str], rows: Rows) -> None:
    """`rows` of the columns that `names` lists by attribute."""
    fields = [next(f for f in model._meta.concrete_fields if f.attname == name) for name in names]
    quote = connection.ops.quote_name
    columns = ", ".join(quote(str(field.column)) for field in fields)
    table = quote(model._meta.db_table)
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            with cursor.copy(f"COPY {table} ({columns}) FROM STDIN") as copied:
                for row in rows:
                    copied.write_row(row)
            return
        holes = ", ".join(["%s"] * len(fields))
        cursor.executemany(
            f"INSERT INTO {table} ({columns}) VALUES ({holes})",  # noqa: S608
            [
                [
                    f.get_db_prep_save(value, connection)
                    for f, value in zip(fields, row, strict=True)
                ]
                for row in rows
            ],
        )


def keys_for(model: type[models.Model], count: int) -> Sequence[int]:
    """So many keys that nobody else will be given, in order, of a table that counts them."""
    table, column = model._meta.db_table, str(model._meta.pk.column)
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("SELECT pg_get_serial_sequence(%s, %s)", [table, column])
            (sequence,) = cursor.fetchone()
            # One by one, since others may take some meanwhile.
            each = "SELECT nextval(%s) FROM generate_series(1, %s)"
            cursor.execute(each, [sequence, count])
            return [key for (key,) in cursor.fetchall()]
        cursor.execute(f"SELECT COALESCE(MAX({column}), 0) FROM {table}")  # noqa: S608
        last = cursor.fetchone()[0] + count
    return range(last - count + 1, last + 1)
