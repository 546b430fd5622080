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

from tests.support.prepared import prepare, run, sqlite_environment

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
def own_database(folder: Path) -> Iterator[dict[str, str]]:
    """The environment of processes that write for good: on PostgreSQL, a database of their own."""
    environment = server_environment(folder)
    if connection.vendor == "sqlite":
        prepare(folder)
        yield environment
        return
    admin = environment["DATABASE_URL"]
    name = f"{connection.settings_dict['NAME']}_{folder.name}".replace("-", "_")
    with psycopg.connect(admin, autocommit=True) as server:
        # A run that was killed may have left it.
        server.execute(f'DROP DATABASE IF EXISTS "{name}" WITH (FORCE)')
        server.execute(f'CREATE DATABASE "{name}"')
        yield {**environment, "DATABASE_URL": f"{admin.rpartition('/')[0]}/{name}"}
        server.execute(f'DROP DATABASE "{name}" WITH (FORCE)')


def server_environment(folder: Path) -> dict[str, str]:
    """Settings of the test run, on the run's PostgreSQL database or an SQLite file in `folder`."""
    found = sqlite_environment(folder)
    if connection.vendor == "sqlite":
        return found
    place = connection.settings_dict
    who = place["USER"] + (f":{place['PASSWORD']}" if place["PASSWORD"] else "")
    port = f":{place['PORT']}" if place["PORT"] else ""
    return {**found, "DATABASE_URL": f"postgres://{who}@{place['HOST']}{port}/{place['NAME']}"}
