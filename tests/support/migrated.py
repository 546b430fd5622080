"""Migrated databases that a run of the tests copies instead of migrating for itself.

Migrating takes half a minute on a busy machine, and a run does it in every process and for every
server of its own. What the migrations made is therefore kept for as long as they are the same: an
SQLite file in the system's folder for such things, and a database to copy on PostgreSQL. Every copy
is then migrated as usual, which finds nothing left to do.
"""

from __future__ import annotations

import fcntl
import hashlib
import os
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from functools import cache
from importlib import import_module
from pathlib import Path
from urllib.parse import urlsplit

import django
import psycopg
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.migrations.loader import MigrationLoader

from tests.support.loaded import ROOT
from tests.support.running import DATABASE_FILE, run, sqlite_environment

MIGRATE = """
from django.core.management import call_command
call_command("migrate", verbosity=0)
"""
# Columns are made by what migrations import, too.
IMPORTED = ("core/models/fields.py",)
KEPT = 4  # of other states of the source
PREFIX = "toneledger_tests_"


@cache
def digest() -> str:
    """Of everything that decides what migrating makes."""
    loader = MigrationLoader(None, ignore_no_migrations=True)
    modules = {each.__module__ for each in loader.disk_migrations.values()}
    files = [Path(str(import_module(name).__file__)) for name in sorted(modules)]
    found = hashlib.sha256(f"{django.__version__} {sqlite3.sqlite_version}".encode())
    for path in [*files, *(ROOT / name for name in IMPORTED)]:
        found.update(path.read_bytes())
    return found.hexdigest()[:16]


def folder() -> Path:
    """Where they lie, of this user alone."""
    found = Path(tempfile.gettempdir()) / f"{PREFIX}{os.getuid()}"
    found.mkdir(mode=0o700, exist_ok=True)
    if found.stat().st_uid != os.getuid():
        raise PermissionError(f"{found} is somebody else’s")
    return found


@contextmanager
def alone() -> Iterator[None]:
    """One process at a time makes what all of them copy."""
    with (folder() / "lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield


def sqlite_file() -> Path:
    """A migrated SQLite database without anything in it."""
    path = folder() / f"{digest()}.sqlite3"
    with alone():
        if not path.exists():
            with tempfile.TemporaryDirectory() as place:
                run(MIGRATE, sqlite_environment(Path(place)))
                made = Path(place) / DATABASE_FILE
                with closing(sqlite3.connect(made)) as database:
                    # A copy in memory cannot have a log beside it.
                    database.execute("PRAGMA journal_mode = DELETE")
                shutil.copy(made, path.with_suffix(".new"))
            path.with_suffix(".new").rename(path)
            _drop_older(path)
    return path


def _drop_older(kept: Path) -> None:
    files = sorted(kept.parent.glob("*.sqlite3"), key=lambda each: each.stat().st_mtime)
    for path in files[: -KEPT - 1]:
        path.unlink()


def url_of(connection: BaseDatabaseWrapper) -> str:
    """Of the PostgreSQL database that Django uses."""
    place = connection.settings_dict
    who = place["USER"] + (f":{place['PASSWORD']}" if place["PASSWORD"] else "")
    port = f":{place['PORT']}" if place["PORT"] else ""
    return f"postgres://{who}@{place['HOST']}{port}/{place['NAME']}"


def in_database(url: str, name: str) -> str:
    """The same server, another database of it."""
    return urlsplit(url)._replace(path=f"/{name}").geturl()


def postgres_template(url: str) -> str:
    """The name of a migrated database on the server of `url`, to be copied."""
    name = f"{PREFIX}{digest()}"
    with alone(), psycopg.connect(url, autocommit=True) as server:
        # Named last, once it is whole: a run that was killed may have left half of one.
        found = server.execute("SELECT 1 FROM pg_database WHERE datname = %s", [name]).fetchone()
        if not found:
            half = f"{PREFIX}half"
            server.execute(f'DROP DATABASE IF EXISTS "{half}" WITH (FORCE)')
            server.execute(f'CREATE DATABASE "{half}"')
            with tempfile.TemporaryDirectory() as place:
                own = sqlite_environment(Path(place))
                run(MIGRATE, {**own, "DATABASE_URL": in_database(url, half)})
            server.execute(f'ALTER DATABASE "{half}" RENAME TO "{name}"')
            _drop_older_databases(server)
    return name


def _drop_older_databases(server: psycopg.Connection) -> None:
    # Numbers of databases rise as they are made.
    sql = "SELECT datname FROM pg_database WHERE datname LIKE %s ORDER BY oid DESC OFFSET %s"
    for (name,) in server.execute(sql, [f"{PREFIX}%", KEPT + 1]).fetchall():
        server.execute(f'DROP DATABASE IF EXISTS "{name}"')


def begin_migrated(connection: BaseDatabaseWrapper, name: str) -> None:
    """Before Django makes its test database of that name: what it is then to find there."""
    if connection.vendor == "postgresql":
        connection.settings_dict["TEST"]["TEMPLATE"] = postgres_template(url_of(connection))
    elif "mode=memory" in name:
        with closing(sqlite3.connect(sqlite_file())) as made:
            made.backup(_held(name))


@cache
def _held(name: str) -> sqlite3.Connection:
    # A database in memory is gone with its last connection, and Django closes its own meanwhile.
    return sqlite3.connect(name, uri=True, check_same_thread=False)
