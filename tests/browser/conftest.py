"""How the browser starts, for every test in this folder."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
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
