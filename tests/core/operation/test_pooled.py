"""PostgreSQL behind pgbouncer, which gives each transaction whichever connection is free.

Its manual, “SQL feature map for pooling modes”, from memory: what a session sets, LISTEN and WITH
HOLD cursors do not work.

One connection for all, so that whatever leans on its own is found out.
"""

from __future__ import annotations

import contextlib
import os
import shutil
import socket
import subprocess
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import psycopg
import pytest
from django.db import connection

from tests.support.own_process import START, server_environment
from tests.support.patience import PATIENCE_S
from tests.support.running import free_port, run

POOL = """
[databases]
* = host={host} port={port} user={user} password={password}
[pgbouncer]
listen_addr = 127.0.0.1
listen_port = {ours}
auth_type = any
pool_mode = transaction
default_pool_size = 1
min_pool_size = 0
logfile = {folder}/log
unix_socket_dir =
"""


@pytest.fixture
def pooled(tmp_path: Path, transactional_db: None) -> Iterator[dict[str, str]]:
    """The environment of the service behind a pool."""
    program = shutil.which("pgbouncer") or shutil.which("pgbouncer", path="/usr/sbin")
    if connection.vendor != "postgresql":
        pytest.skip("a pool stands before PostgreSQL alone")
    if not program:
        pytest.skip("pgbouncer is not installed")
    environment = server_environment(tmp_path)
    place, ours = connection.settings_dict, free_port()
    # Not in the folder of the test, which another user cannot enter.
    folder = Path(tempfile.mkdtemp(prefix="toneledger-pool-"))
    folder.chmod(0o777)
    written = POOL.format(
        host=place["HOST"] or "127.0.0.1",
        port=place["PORT"] or 5432,
        user=place["USER"],
        password=place["PASSWORD"] or "",
        ours=ours,
        folder=folder,
    )
    (folder / "ini").write_text(written.replace("password=\n", "\n"))
    # It refuses to run as the administrator of the machine.
    other = ["-u", "postgres"] if os.geteuid() == 0 else []
    process = subprocess.Popen([program, "-q", *other, str(folder / "ini")])
    try:
        _wait(ours, process)
        direct = environment["DATABASE_URL"]
        name = direct.rpartition("/")[2]
        yield {
            **environment,
            "DATABASE_URL": f"postgres://{place['USER']}@127.0.0.1:{ours}/{name}",
            "TONELEDGER_DATABASE_DIRECT": direct,
        }
    finally:
        process.terminate()
        process.wait(PATIENCE_S)
        shutil.rmtree(folder)


def _wait(port: int, process: subprocess.Popen[bytes]) -> None:
    for _ in range(100):
        assert process.poll() is None
        with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", port), 1):
            return
        time.sleep(0.1)
    raise AssertionError("pgbouncer did not start")


WORK = (
    START
    + """
import asyncio, threading
from django.db import transaction
from core.live.hub import Hub
from core.live.notify import notify
from core.live.wakers import waker
from core.models import User
from rigs.changes.edits import Set
from rigs.models import Revision, Rig
from rigs.revisions.record import Conflict, record
from rigs.revisions.verify import verify_rig
from notes.archive.load import _ONE_AT_A_TIME
from tests.support.world import make_world

world = make_world("Pooled")
said = {}

# Eight who write the same rig, each in transactions of their own.
def write(number):
    for count in range(3):
        while True:
            rig = Rig.objects.get(pk=world.rig.pk)
            try:
                edit = Set(str(world.input.pk), "input", {"name": f"{number} {count}"})
                record(rig, [edit],
                       author=User.objects.get(pk=world.tech.pk), base=rig.head_number)
            except Conflict:
                continue
            break
said["race"] = race(write, *range(8))
said["changes"] = Revision.objects.filter(rig=world.rig).count() - 1
said["walked"] = verify_rig(Rig.objects.get(pk=world.rig.pk))

# More rows than one fetch, read while somebody else uses the only connection.
rows = Revision.objects.order_by("pk").iterator(chunk_size=2)
next(rows)
def between(_):
    User.objects.count()
race(between, 1)
said["read"] = 1 + sum(1 for _ in rows)

# A lock of a transaction ends with it, and whoever waits for it gets it.
def locked(_):
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("SELECT pg_advisory_xact_lock(%s)", [_ONE_AT_A_TIME])
said["locks"] = race(locked, 1, 2, 3)

# The time zone that Django asks for when it connects.
with connection.cursor() as cursor:
    cursor.execute("SHOW TimeZone")
    said["zone"] = cursor.fetchone()[0]

def tell():
    with transaction.atomic():
        notify("rig:x")
    connection.close()

async def hear():
    with Hub().watch("rig:x", waker()) as woken:
        await asyncio.wait_for(woken.wait(), 20)  # once when it begins to listen
        woken.clear()
        await asyncio.to_thread(tell)
        await asyncio.wait_for(woken.wait(), 20)
said["heard"] = asyncio.run(hear()) is None
print(json.dumps(said))
"""
)


def test_the_service_works_behind_a_pool(pooled: dict[str, str]) -> None:
    said = run(WORK, pooled)
    assert said == {
        "race": ["won"] * 8,
        "changes": 24,
        "walked": 25,
        "read": said["walked"],
        "locks": ["won"] * 3,
        "zone": "UTC",
        "heard": True,
    }


def test_what_needs_a_direct_connection_does(pooled: dict[str, str]) -> None:
    """Should these begin to work one day, the setting is not needed any more."""
    through = pooled["DATABASE_URL"]
    with (
        psycopg.connect(through, autocommit=True) as one,
        psycopg.connect(through, autocommit=True) as two,
    ):
        one.execute("LISTEN words")
        two.execute("NOTIFY words")
        assert list(one.notifies(timeout=0.5, stop_after=1)) == []
        one.execute("SET lock_timeout = 4321")  # so does each session setting: others get it
        assert two.execute("SHOW lock_timeout").fetchone() == ("4321ms",)
