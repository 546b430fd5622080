"""The service is told to stop (POSIX signal TERM) while it is in the middle of things."""

from __future__ import annotations

import contextlib
import http.client
import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator

import pytest

from tests.support.live_place import SET_UP, Reader, wait_for
from tests.support.loaded import ROOT
from tests.support.own_process import own_database
from tests.support.running import free_port, run

GRACE_S = 30  # longer than what is under way takes
BODY = b"username=nobody&password=" + b"x" * 200


@pytest.fixture
def known(tmp_path: object, django_db_setup: None) -> Iterator[dict[str, object]]:
    with own_database(tmp_path) as environment:
        found = run(SET_UP, environment)
        yield {**found, "environment": environment}


def test_what_is_under_way_ends_and_nothing_new_begins(known: dict[str, object]) -> None:
    port = free_port()
    served = subprocess.Popen(
        [
            *(sys.executable, "manage.py", "serve", "--bind", f"127.0.0.1:{port}"),
            *("--workers", "2", "--grace", str(GRACE_S)),
        ],
        env=known["environment"],
        cwd=ROOT,
        start_new_session=True,
    )
    try:
        wait_for(port)
        path = f"/p/{known['production']}/rigs/{known['rig']}/live/"
        stream = Reader(port, path, known["engineer"])
        stream.next("people")
        half_sent = _begin(port)
        served.terminate()
        began = time.monotonic()
        while not stream.answer.isclosed():  # told to ask again, it finds nobody
            assert time.monotonic() - began < GRACE_S - 5
            time.sleep(0.05)
        assert served.poll() is None  # what is under way is waited for
        while _answers(port):  # its other process may hear of it a moment later
            assert time.monotonic() - began < GRACE_S - 5
        half_sent.sendall(BODY[100:])
        answer = http.client.HTTPResponse(half_sent)
        answer.begin()
        assert answer.status == 403  # a form without its token: answered, and rightly
        half_sent.close()
        served.wait(GRACE_S + 60)  # on a busy machine a process has been seen to need its grace
    finally:
        with contextlib.suppress(ProcessLookupError):
            os.killpg(served.pid, signal.SIGKILL)


TOLD = """
import asyncio, json, os, signal
signal.signal(signal.SIGTERM, lambda number, frame: None)  # what a server sets up before it loads
from core.asgi import application
from core.live.hub import hub

async def serve():
    asked, said = asyncio.Queue(), []
    async def send(message):
        said.append(message["type"])
        if message["type"].endswith("startup.complete"):
            os.kill(os.getpid(), signal.SIGTERM)  # before any stream was asked for
            await asked.put({"type": "lifespan.shutdown"})
    await asked.put({"type": "lifespan.startup"})
    await application({"type": "lifespan"}, asked.get, send)
    return said

said = asyncio.run(serve())
print(json.dumps({"said": said, "ends": hub.is_ending}))
"""


def test_a_stream_asked_for_after_the_signal_ends_too(known: dict[str, object]) -> None:
    """A page that one process sent away asks another that is being told to stop, too."""
    found = run(TOLD, known["environment"])
    assert found["said"] == ["lifespan.startup.complete", "lifespan.shutdown.complete"]
    assert found["ends"]


def _begin(port: int) -> socket.socket:
    """A form of which only the beginning has come."""
    line = socket.create_connection(("127.0.0.1", port), 30)
    head = (
        "POST /login/ HTTP/1.1\r\nHost: localhost\r\n"
        "Content-Type: application/x-www-form-urlencoded\r\n"
        f"Content-Length: {len(BODY)}\r\n\r\n"
    )
    line.sendall(head.encode() + BODY[:100])
    time.sleep(0.5)  # nothing shows that the server has read it
    return line


def _answers(port: int) -> bool:
    """Refused at once, or left without an answer where several workers share the socket."""
    asked = http.client.HTTPConnection("127.0.0.1", port, timeout=1)
    try:
        asked.request("GET", "/healthz")
        return asked.getresponse().status == 200
    except (OSError, http.client.HTTPException):
        return False
    finally:
        asked.close()  # nothing of ours is to be waited for
