"""How the browser starts, for every test in this folder."""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import psycopg
import pytest
from django.contrib.staticfiles.handlers import StaticFilesHandler
from django.db import connection
from playwright.sync_api import Browser, Page, expect

from core.models import Show
from tests.conftest import find_browser
from tests.rigs.shows.shows import make_show
from tests.support.pages import as_user
from tests.support.patience import PATIENCE_MS
from tests.support.phones import PHONE, QUIET, Stage
from tests.support.world import World
from tests.support.world_rows import put_world

# The catalogue of scripts is made by a view, below the addresses of static files.
_is_static = StaticFilesHandler._should_handle
StaticFilesHandler._should_handle = lambda self, path: (  # type: ignore[method-assign]
    _is_static(self, path) and not path.startswith("/static/words/")
)

expect.set_options(timeout=PATIENCE_MS)


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args: dict[str, Any]) -> dict[str, Any]:
    return {**browser_type_launch_args, "executable_path": find_browser(), "args": list(QUIET)}


@pytest.fixture(scope="session")
def browser_context_args(browser_context_args: dict[str, Any]) -> dict[str, Any]:
    """Without the worker: it would go on fetching after its test. test_offline has its own."""
    return {**browser_context_args, "service_workers": "block"}


@pytest.fixture
def world(transactional_db: None) -> World:
    """As everywhere, but stored for good: the server of a browser reads it in another thread."""
    return put_world()


@pytest.fixture
def show(world: World) -> Show:
    return make_show(world)


@pytest.fixture
def phone(world: World, live_server: Any, browser: Browser) -> Iterator[Page]:
    """The tech's, with touch."""
    context = browser.new_context(viewport=PHONE, has_touch=True, is_mobile=True)
    session = as_user(world.tech).cookies["sessionid"].value
    context.add_cookies([{"name": "sessionid", "value": session, "url": str(live_server)}])
    yield context.new_page()
    context.close()


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
    if "live_server" not in request.fixturenames or connection.vendor != "postgresql":
        yield
        return
    # What was there before is none of this test's: Django keeps another connection of the same
    # thread from before Playwright ran its loop in it.
    before = sessions()
    yield
    before.add(connection.connection.info.backend_pid if connection.connection else 0)
    end = time.monotonic() + 10
    while sessions() - before and time.monotonic() < end:
        time.sleep(0.1)
    assert sessions() <= before, "Some sessions stay: close every browser context of this test."


def sessions() -> set[int]:
    """Processes of PostgreSQL that serve the database of the tests."""
    known = connection.get_connection_params()
    place = {name: known[name] for name in ("host", "port", "user", "password") if known.get(name)}
    with psycopg.connect(**place, dbname="postgres", autocommit=True) as asking:
        asked = "SELECT pid FROM pg_stat_activity WHERE datname = %s"
        rows = asking.execute(asked, [known["dbname"]])
        return {pid for (pid,) in rows.fetchall()}
