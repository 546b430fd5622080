"""Fixtures for all tests: a small production and its people, made through the real services."""

from __future__ import annotations

import gc
import os
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.db import OperationalError, connection
from django.db.backends.base.creation import BaseDatabaseCreation
from django.db.backends.base.operations import BaseDatabaseOperations
from django.db.backends.postgresql.base import DatabaseWrapper as Postgres
from django.db.backends.sqlite3.base import DatabaseWrapper as SQLite
from django.utils import translation
from hypothesis import HealthCheck, settings
from xdist.scheduler import WorkStealingScheduling

from core.append_only import set_aside
from core.personal import opening, store
from tests.support.engines import is_installed, left_out
from tests.support.migrated import begin_migrated
from tests.support.patience import PATIENCE_S
from tests.support.world import World
from tests.support.world_rows import put_world

# Synchronous Playwright runs an event loop in the test's thread; the ORM may be used all the same.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "1")

# A busy machine is slow; that says nothing about the code.
settings.register_profile("toneledger", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("toneledger")


# The rows of the small world serve a whole run: what a process opened once is not asked for again
# in the middle of a test that counts queries.
opening.REMEMBERED_S = 86_400.0

BROWSER_AT = ("/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome")


def find_browser() -> str | None:
    wanted = os.environ.get("TONELEDGER_CHROMIUM")
    return next((p for p in (wanted, *BROWSER_AT) if p and os.path.exists(p)), None)


# What these test is computed, worded or drawn from rows that are read as everywhere else.
ANY_DATABASE = {
    *("rigs/whatif", "rigs/paper", "rigs/one_page", "rigs/drawing", "rigs/wording", "rigs/checks"),
    *("rigs/knob_check", "notes/comparing", "notes/causes", "notes/captures", "core/languages"),
    *("core/test_page_weight.py", "notes/handover/test_accessible_print.py"),
    *("notes/test_unreadable_sounds.py", "notes/test_delay_every_way.py"),
}

# A test without any of them may not touch the database: pytest-django refuses it.
DATABASE_FIXTURES = {"db", "transactional_db", "live_server", "django_db_setup"}


def has_database(item: pytest.Item) -> bool:
    """Whether the run's database has a part in it."""
    # The same server on the same SQLite file, or rows that any database would give alike: nothing
    # that another one would change. So it is with most browsers, whose pages have other tests.
    if item.get_closest_marker("browser") and not item.get_closest_marker("each_database"):
        return False
    if item.get_closest_marker("own_sqlite") or item.get_closest_marker("any_database"):
        return False
    place = item.path.relative_to(Path(__file__).parent)
    if not ANY_DATABASE.isdisjoint(each.as_posix() for each in (place, *place.parents)):
        return False
    fixtures = getattr(item, "fixturenames", [])
    return bool(item.get_closest_marker("django_db")) or not DATABASE_FIXTURES.isdisjoint(fixtures)


def is_left_out(item: pytest.Item) -> bool:
    called = getattr(item, "callspec", None)
    engine = called.params.get("engine", "chromium") if called else "chromium"
    if not is_installed(engine):
        return True
    needs_chromium = engine == "chromium" and item.get_closest_marker("browser")
    if needs_chromium and not find_browser():
        return True
    return connection.vendor != "sqlite" and not has_database(item)


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    left_out = [item for item in items if is_left_out(item)]
    if left_out:
        config.hook.pytest_deselected(items=left_out)
    # The long ones first, so that no process is left with one of them at the end.
    items[:] = sorted(
        (item for item in items if not is_left_out(item)),
        key=lambda item: item.get_closest_marker("browser") is None,
    )


def pytest_collection_finish(session: pytest.Session) -> None:
    # What is loaded by now is never garbage: not searching it saves a seventh of the run.
    gc.collect()
    gc.freeze()


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> WorkStealingScheduling:
    return WorkStealingScheduling(config, log)


def pytest_terminal_summary(terminalreporter: Any) -> None:
    # Said by the process that reports, whichever process did the collecting.
    for line in left_out():
        terminalreporter.write_line(line)
    if not find_browser():
        terminalreporter.write_line(
            "Browser tests were left out: no Chromium found. Install Debian’s package “chromium” "
            "or set TONELEDGER_CHROMIUM to one."
        )
    elif connection.vendor != "sqlite":
        terminalreporter.write_line(
            "Tests that this database has no part in were left out: of rules and figures, of who "
            "may call what, of what a browser makes of pages, and those with an SQLite file of "
            "their own. A run on SQLite has them. Unset DATABASE_URL."
        )


def _flush_past_triggers(original: Any) -> Any:
    """Transactional tests empty all tables afterwards; append-only tables refuse that by design,
    so their triggers stand aside for the flush and come back."""

    def flush(self: BaseDatabaseOperations, sql_list: list[str]) -> None:
        # A browser may still be fetching from the live server; its thread then reads a moment more,
        # and SQLite in memory, shared by both, refuses at once instead of waiting.
        end = time.monotonic() + PATIENCE_S
        while True:
            try:
                with set_aside(self.connection):
                    original(self, sql_list)
                store.forget_remembered()  # of names that are no longer there
                return
            except OperationalError as error:
                if "locked" not in str(error) or time.monotonic() > end:
                    raise
                time.sleep(0.1)

    return flush


for operations in (SQLite.ops_class, Postgres.ops_class):
    operations.execute_sql_flush = _flush_past_triggers(operations.execute_sql_flush)  # type: ignore[method-assign]


def _beginning_migrated(original: Any) -> Any:
    """Test databases are copies of one that was migrated."""

    def create(self: BaseDatabaseCreation, *args: Any, **more: Any) -> Any:
        name = self._get_test_db_name()  # type: ignore[attr-defined]
        begin_migrated(self.connection, name)
        return original(self, *args, **more)

    return create


for creation in (SQLite.creation_class, Postgres.creation_class):
    creation._create_test_db = _beginning_migrated(creation._create_test_db)  # type: ignore[method-assign]


@pytest.fixture(autouse=True)
def _language() -> Iterator[None]:
    """A request leaves its language behind, for what is streamed; the next test begins anew."""
    yield
    translation.deactivate()


@pytest.fixture
def world(db: None) -> World:
    """A production with one person in each role, a bass player and a documented bass rig."""
    return put_world()
