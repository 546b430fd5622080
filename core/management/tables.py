"""Whether the database has the tables that a command needs."""

from __future__ import annotations

from django.core.management.base import CommandError
from django.db import connection
from django.db.migrations.executor import MigrationExecutor


def need_tables() -> None:
    """Raise CommandError, saying what to do, where the database is not as this version wants it."""
    executor = MigrationExecutor(connection)
    if executor.migration_plan(executor.loader.graph.leaf_nodes()):
        raise CommandError(
            "The database of this server is not set up for this version. "
            "Run “manage.py migrate” first."
        )
