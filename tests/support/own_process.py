"""Run code in a process of its own, on a database in which its threads can wait for each other.

They cannot in an SQLite database in memory, so on SQLite a file is used; on PostgreSQL it is the
database of the run.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import psycopg
from django.db import connection

from tests.support.migrated import in_database, postgres_template, url_of
from tests.support.prepared import prepare
from tests.support.running import run, sqlite_environment

START = """
import threading
from django.db import connection

def race(act, *racers):
    start, results = threading.Barrier(len(racers)), []
    def run(racer):
        start.wait()
        try:
            act(racer)
            results.append("won")
        except Exception as error:
            results.append(type(error).__name__)
        finally:
            connection.close()
    threads = [threading.Thread(target=run, args=[racer]) for racer in racers]
    for thread in threads: thread.start()
    for thread in threads: thread.join()
    return sorted(results)
"""


def run_alone(code: str, folder: Path) -> Any:
    """What `code` prints, as JSON. It may use `race(act, *racers)`. `folder` is for SQLite."""
    if connection.vendor == "sqlite":
        prepare(folder)
    return run(START + code, server_environment(folder))


@contextmanager
def own_database(folder: Path, *, is_empty: bool = False) -> Iterator[dict[str, str]]:
    """The environment of processes that write for good: on PostgreSQL, a database of their own.

    It is migrated, or has no tables if `is_empty`.
    """
    environment = server_environment(folder)
    if connection.vendor == "sqlite":
        if not is_empty:
            prepare(folder)
        yield environment
        return
    url = environment["DATABASE_URL"]
    name = f"{connection.settings_dict['NAME']}_{folder.name}".replace("-", "_")
    with psycopg.connect(url, autocommit=True) as server:
        # A run that was killed may have left it.
        server.execute(f'DROP DATABASE IF EXISTS "{name}" WITH (FORCE)')
        template = "template1" if is_empty else postgres_template(url)
        server.execute(f'CREATE DATABASE "{name}" TEMPLATE "{template}"')
        yield {**environment, "DATABASE_URL": in_database(url, name)}
        server.execute(f'DROP DATABASE "{name}" WITH (FORCE)')


def server_environment(folder: Path) -> dict[str, str]:
    """Settings of the test run, on the run's PostgreSQL database or an SQLite file in `folder`."""
    found = sqlite_environment(folder)
    if connection.vendor == "sqlite":
        return found
    return {**found, "DATABASE_URL": url_of(connection)}
