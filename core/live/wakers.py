"""How this process learns that another one wrote something: one way for each database."""

from __future__ import annotations

import asyncio
import sqlite3
from collections.abc import Callable
from pathlib import Path

from django.db import connection

from core.live.hub import Waker
from core.live.notify import CHANNEL
from core.operation.direct import direct_place

LOOK_S = 0.3
Wake = Callable[[str | None], None]


def waker() -> Waker:
    return _listen if connection.vendor == "postgresql" else _look


async def _listen(wake: Wake) -> None:
    """PostgreSQL: one connection for each process that has streams open, listening."""
    # Here, because an installation on SQLite never needs the driver.
    import psycopg

    # A connection of its own: those of Django are synchronous, and LISTEN ends with its connection.
    async with await psycopg.AsyncConnection.connect(
        **direct_place(), autocommit=True
    ) as listening:
        await listening.execute(f"LISTEN {CHANNEL}")
        wake(None)  # whatever was said before anybody listened
        async for notice in listening.notifies():
            wake(notice.payload)


async def _look(wake: Wake) -> None:
    """SQLite: a number that the file itself raises at every commit of any other connection.

    Reading it costs microseconds. A database in memory has no other processes to hear of.
    """
    name = str(connection.settings_dict["NAME"])
    if not Path(name).is_file():
        await asyncio.Event().wait()
    # Read-only: looking must never write, nor make an empty file.
    file = sqlite3.connect(f"{Path(name).absolute().as_uri()}?mode=ro", uri=True)
    try:
        known = None
        while True:
            (version,) = file.execute("PRAGMA data_version").fetchone()
            if version != known:
                known = version
                wake(None)
            await asyncio.sleep(LOOK_S)
    finally:
        file.close()
