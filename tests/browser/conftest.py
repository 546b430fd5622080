"""How the browser starts, for every test in this folder."""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import psycopg
import pytest
from django.db import connection
from playwright.sync_api import expect

from tests.conftest import find_browser
from tests.support.phones import QUIET, Stage

# What is to come, comes; on a busy machine later. Nothing that passes waits for it.
expect.set_options(timeout=30_000)


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args: dict[str, Any]) -> dict[str, Any]:
    return {**browser_type_launch_args, "executable_path": find_browser(), "args": list(QUIET)}


@pytest.fixture(scope="session")
def browser_context_args(browser_context_args: dict[str, Any]) -> dict[str, Any]:
    """Without the worker: it would go on fetching after its test. test_offline has its own."""
    return {**browser_context_args, "service_workers": "block"}


@pytest.fixture
def stage(tmp_path: Path) -> Iterator[Stage]:
    stage = Stage(tmp_path / "server")
    stage.server.start()
    yield stage
    stage.server.let_go()
    stage.server.stop()


@pytest.fixture(autouse=True)
def nobody_stays_connected(request: pytest.FixtureRequest) -> Iterator[None]:
    """A page left open keeps its thread of the live server, and that thread its session with
    PostgreSQL: the database could then not be taken away at the end of the run."""
    yield
    if "live_server" in request.fixturenames and connection.vendor == "postgresql":
        assert left_over() == 0, "Some sessions stay: close every browser context of this test."


def left_over(within_s: float = 10.0) -> int:
    """Sessions with the database of the tests, besides that of this process."""
    known = connection.get_connection_params()
    place = {name: known[name] for name in ("host", "port", "user", "password") if known.get(name)}
    mine = connection.connection.info.backend_pid if connection.connection else 0
    count = "SELECT count(*) FROM pg_stat_activity WHERE datname = %s AND pid <> %s"
    end = time.monotonic() + within_s
    with psycopg.connect(**place, dbname="postgres", autocommit=True) as asking:
        while True:
            ((found,),) = asking.execute(count, [known["dbname"], mine]).fetchall()
            if not found or time.monotonic() > end:
                return int(found)
            time.sleep(0.1)
