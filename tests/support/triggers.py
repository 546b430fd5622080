"""Let the triggers of append-only tables stand aside, for tests that empty the tables."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from core.append_only import append_only_tables, ensure_triggers, trigger_names


@contextmanager
def without_triggers(connection: Any) -> Iterator[None]:
    with connection.cursor() as cursor:
        for table in append_only_tables():
            for name in trigger_names(table):
                place = f' ON "{table}"' if connection.vendor == "postgresql" else ""
                cursor.execute(f"DROP TRIGGER IF EXISTS {name}{place}")
    try:
        yield
    finally:
        ensure_triggers(connection)
