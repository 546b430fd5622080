"""What pages that stay open cost, while nobody writes.

    DATABASE_URL=postgres://… python -m tests.bench.open_pages [pages] [seconds]

So many streams of one rig, read by one process, from a service with two workers and a database of
its own. Prints the processor time of the service, transactions of the database a second, and how
many streams broke or were refused. A page asks again when it is told to, as a browser does.
"""

from __future__ import annotations

import asyncio
import os
import sys
import tempfile
import time
from pathlib import Path

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.bench.settings")
django.setup()

import psycopg

from core.live.stream import ASK_AGAIN_MS
from tests.support.live_place import Place
from tests.support.own_process import own_database

WHO = ("engineer", "tech", "crew", "player", "manager")
AGAIN = f"retry: {ASK_AGAIN_MS}".encode()


class Counted:
    errors = 0
    opened = 0


async def page(port: int, path: str, cookie: str, end: float) -> None:
    head = f"GET {path} HTTP/1.1\r\nHost: 127.0.0.1\r\nCookie: {cookie}\r\n\r\n".encode()
    while time.monotonic() < end:
        try:
            reader, writer = await asyncio.open_connection("127.0.0.1", port)
            writer.write(head)
            status = await asyncio.wait_for(reader.readline(), 60)
            Counted.opened += 1
            Counted.errors += b" 200 " not in status
            asked_again = False
            while time.monotonic() < end and not asked_again:
                line = await asyncio.wait_for(reader.readline(), 60)
                if not line:
                    break
                asked_again = AGAIN in line
            Counted.errors += not asked_again and time.monotonic() < end
            writer.close()
        except (OSError, TimeoutError):
            Counted.errors += 1
        await asyncio.sleep(ASK_AGAIN_MS / 1000)


def processor_s(parent: int) -> float:
    """Of the process and its children (proc(5): fields 14 and 15 of stat, in ticks)."""
    tick, total = os.sysconf("SC_CLK_TCK"), 0.0
    for folder in Path("/proc").glob("[0-9]*"):
        try:
            fields = (folder / "stat").read_text().rpartition(")")[2].split()
        except OSError:
            continue
        if parent in (int(folder.name), int(fields[1])):
            total += (int(fields[11]) + int(fields[12])) / tick
    return total


def transactions(url: str) -> int:
    with psycopg.connect(url) as server:
        row = server.execute(
            "SELECT xact_commit + xact_rollback FROM pg_stat_database WHERE datname = "
            "current_database()"
        ).fetchone()
    assert row is not None
    return int(row[0])


async def everybody(place: Place, pages: int, seconds: float) -> None:
    path = f"/p/{place.known['production']}/rigs/{place.known['rig']}/live/?since=1"
    end = time.monotonic() + seconds
    waiting = []
    for number in range(pages):
        cookie = place.known[WHO[number % len(WHO)]]
        waiting.append(asyncio.create_task(page(place.port, path, cookie, end)))
        await asyncio.sleep(min(0.02, seconds / pages / 4))
    await asyncio.gather(*waiting)


def main(pages: int, seconds: float) -> None:
    with (
        tempfile.TemporaryDirectory(prefix="open-pages-") as folder,
        own_database(Path(folder)) as environment,
    ):
        place = Place(environment, workers=2)
        url = environment.get("DATABASE_URL", "")
        used, done = processor_s(place.server.pid), transactions(url) if url else 0
        began = time.monotonic()
        asyncio.run(everybody(place, pages, seconds))
        took = time.monotonic() - began
        spent = processor_s(place.server.pid) - used
        a_second = (transactions(url) - done) / took if url else float("nan")
        print(
            f"{pages} pages, {took:.0f} s: {spent:.1f} s of processor ({spent / took:.1%} of a "
            f"core), {a_second:.0f} transactions a second, {Counted.opened} streams, "
            f"{Counted.errors} errors; load {os.getloadavg()[0]:.1f}"
        )
        place.stop()


if __name__ == "__main__":
    given = [int(each) for each in sys.argv[1:]]
    main(*given, *(300, 70)[len(given) :])
