"""A server on a database of its own for a bench, in the process of the bench."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager

from django.contrib.staticfiles.handlers import StaticFilesHandler
from django.db import connections
from django.test.runner import DiscoverRunner
from django.test.testcases import LiveServerThread
from django.test.utils import override_settings


@contextmanager
def served() -> Iterator[str]:
    """The address of a server whose database is empty. Django is set up already."""
    runner = DiscoverRunner(verbosity=0, interactive=False)
    config = runner.setup_databases()
    try:
        with tempfile.TemporaryDirectory() as files, override_settings(MEDIA_ROOT=files):
            yield from _running()
    finally:
        runner.teardown_databases(config)


def _running() -> Iterator[str]:
    shared = (
        {"default": connections["default"]} if connections["default"].vendor == "sqlite" else {}
    )
    for connection in shared.values():
        # SQLite in memory is one connection, which the thread of the server has to share.
        connection.inc_thread_sharing()
    thread = LiveServerThread("127.0.0.1", StaticFilesHandler, connections_override=shared)
    thread.daemon = True
    thread.start()
    thread.is_ready.wait()
    if thread.error:
        raise thread.error
    try:
        yield f"http://127.0.0.1:{thread.port}"
    finally:
        thread.terminate()
