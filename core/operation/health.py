"""Whether this process can serve: what a load balancer asks before it sends anybody here."""

from __future__ import annotations

import logging
import os
from collections.abc import Callable
from pathlib import Path

from django.core.files.storage import FileSystemStorage, default_storage
from django.db import connection
from django.db.migrations.executor import MigrationExecutor

from core.append_only import missing_triggers

log = logging.getLogger(__name__)
_migrated: set[str] = set()  # databases seen in order: they do not go back while this process runs


class NotReady(Exception):
    """What is wrong, for the log."""


def _database() -> None:
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")


def _migrations() -> None:
    name = str(connection.settings_dict["NAME"])
    if name in _migrated:
        return
    executor = MigrationExecutor(connection)
    missing = executor.migration_plan(executor.loader.graph.leaf_nodes())
    if missing:
        raise NotReady(f"{len(missing)} migrations are not applied: run manage.py migrate")
    _migrated.add(name)


def _triggers() -> None:
    missing = missing_triggers(connection)
    if missing:
        raise NotReady(f"triggers that keep history are missing: {', '.join(missing)}")


def _storage() -> None:
    if not isinstance(default_storage, FileSystemStorage):
        default_storage.exists("ready")  # what it answers does not matter: that it does
        return
    folder = Path(default_storage.path(""))
    while not folder.exists():  # made with the first file
        folder = folder.parent
    if not os.access(folder, os.R_OK | os.W_OK | os.X_OK):
        raise NotReady(f"{folder} cannot be written to")


CHECKS: dict[str, Callable[[], None]] = {
    "database": _database,
    "migrations": _migrations,
    "triggers": _triggers,
    "storage": _storage,
}


def readiness() -> dict[str, bool]:
    """Each thing that serving needs, and whether it is there. Why not, only the log says: the
    answer is for anybody."""
    return {name: _is_ready(name, check) for name, check in CHECKS.items()}


def _is_ready(name: str, check: Callable[[], None]) -> bool:
    try:
        check()
    except Exception as error:  # noqa: BLE001 - each database and storage has errors of its own
        log.error("not ready: %s: %s", name, error)
        return False
    return True
