"""Threads in which the open pages of a process look at the database: a few for all of them.

Each keeps its connection, since making one costs more than a look does, and a thread for every page
would want more connections than a database gives.
"""

from __future__ import annotations

import threading
from collections.abc import Awaitable, Callable
from concurrent.futures import ThreadPoolExecutor
from typing import ParamSpec, TypeVar

from asgiref.sync import SyncToAsync
from django.db import close_old_connections, connections

THREADS = 4
P = ParamSpec("P")
R = TypeVar("R")

_threads = ThreadPoolExecutor(THREADS, "looking")


def look(what: Callable[P, R], *args: P.args, **more: P.kwargs) -> Awaitable[R]:
    """What `what` gives in one of them."""

    def looked() -> R:
        close_old_connections()  # one that is broken or old, as before each request
        return what(*args, **more)

    return SyncToAsync(looked, thread_sensitive=False, executor=_threads)()


def rest() -> None:
    """Let the connections go, once no page is open any more."""
    # Whoever waits here takes no second one, so that each thread closes its own.
    together = threading.Barrier(THREADS)
    for _ in range(THREADS):
        _threads.submit(_close, together)


def _close(together: threading.Barrier) -> None:
    together.wait()
    connections.close_all()
