"""Run code in a process of its own, on a database that its threads can wait for each other in.

The run's own SQLite database may live in memory, where they cannot; on PostgreSQL it is the same.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import psycopg
from django.db import connection

ROOT = Path(__file__).resolve().parents[2]
START = """
import json, threading, django
django.setup()
from django.core.management import call_command
from django.db import connection
if connection.vendor == "sqlite":
    call_command("migrate", verbosity=0)

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
    done = subprocess.run(
        [sys.executable, "-c", START + code], env=server_environment(folder), cwd=ROOT,
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


@contextmanager
def own_database(folder: Path) -> Iterator[dict[str, str]]:
    """The environment of processes that write for good: on PostgreSQL, a database of their own."""
    environment = server_environment(folder)
    if connection.vendor == "sqlite":
        yield environment
        return
    admin = environment["DATABASE_URL"]
    name = f"{connection.settings_dict['NAME']}_{folder.name}".replace("-", "_")
    with psycopg.connect(admin, autocommit=True) as server:
        server.execute(f'DROP DATABASE IF EXISTS "{name}" WITH (FORCE)')
        server.execute(f'CREATE DATABASE "{name}"')
        yield {**environment, "DATABASE_URL": f"{admin.rpartition('/')[0]}/{name}"}
        server.execute(f'DROP DATABASE "{name}" WITH (FORCE)')


def server_environment(folder: Path) -> dict[str, str]:
    """Settings of the test run, on the run's PostgreSQL database or an SQLite file in `folder`."""
    found = {
        **os.environ,
        "DJANGO_SETTINGS_MODULE": "tests.settings",
        "TONELEDGER_DATA": str(folder),
        "PYTHONPATH": str(ROOT),
    }
    if connection.vendor == "sqlite":
        found.pop("DATABASE_URL", None)
        return found
    place = connection.settings_dict
    who = place["USER"] + (f":{place['PASSWORD']}" if place["PASSWORD"] else "")
    port = f":{place['PORT']}" if place["PORT"] else ""
    return {**found, "DATABASE_URL": f"postgres://{who}@{place['HOST']}{port}/{place['NAME']}"}
