"""A real ASGI server in a process of its own, with a small production, and open pages of it."""

from __future__ import annotations

import contextlib
import http.client
import json
import queue
import socket
import subprocess
import sys
import threading
import time
from typing import Any

from core.live.stream import ASK_AGAIN_MS
from tests.support.loaded import ROOT
from tests.support.patience import PATIENCE_S
from tests.support.running import free_port, run


class Reader:
    """One open page: its events as they arrive. Like a browser it asks again when it is told to."""

    def __init__(self, port: int, path: str, cookie: str) -> None:
        self.found: queue.Queue[tuple[str, Any]] = queue.Queue()
        self.port, self.path, self.headers = port, path, {"Cookie": cookie}
        self._open()
        threading.Thread(target=self._read, daemon=True).start()

    def _open(self) -> None:
        self.connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=PATIENCE_S)
        self.connection.request("GET", self.path, headers=self.headers)
        self.answer = self.connection.getresponse()
        # The connection lets go of its socket where the answer has no length; close() needs it.
        self.socket = self.connection.sock or self.answer.fp.raw._sock  # type: ignore[attr-defined]

    def _read(self) -> None:
        with contextlib.suppress(OSError, ValueError, AttributeError, http.client.HTTPException):
            while self._is_to_ask_again():
                self._open()

    def _is_to_ask_again(self) -> bool:
        name, again = "", False
        for line in self.answer:
            words = line.decode().strip()
            if words.startswith("event: "):
                name = words[7:]
            elif words.startswith("id: "):
                self.headers["Last-Event-ID"] = words[4:]
            elif words.startswith("data: "):
                self.found.put((name, json.loads(words[6:])))
            again = again or words == f"retry: {ASK_AGAIN_MS}"
        return again

    def next(self, name: str, within: float = PATIENCE_S) -> Any:
        end = time.monotonic() + within
        while True:
            got, data = self.found.get(timeout=max(0.01, end - time.monotonic()))
            if got == name:
                return data

    def close(self) -> None:
        self.socket.shutdown(socket.SHUT_RDWR)
        self.connection.close()


def wait_for(port: int) -> None:
    """Until a server answers there."""
    for _ in range(1800):
        with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", port), 0.2):
            return
        time.sleep(0.1)
    raise AssertionError("the server did not start")


SET_UP = """
from django.core.management import call_command
call_command("migrate", verbosity=0)
call_command("collectstatic", verbosity=0, interactive=False)
from django.test import Client
from tests.support.world import make_world
world = make_world("Live")
def cookie(user):
    client = Client()
    client.force_login(user)
    return "sessionid=" + client.cookies["sessionid"].value
print(json.dumps({
    "production": str(world.production.pk), "rig": str(world.rig.pk),
    "engineer": cookie(world.people["engineer"]), "tech": cookie(world.people["tech"]),
    "outsider": cookie(world.outsider), "crew": cookie(world.people["crew"]),
    "player": cookie(world.people["player"]), "manager": cookie(world.people["manager"]),
    "unit": str(world.unit.pk),
    "control": str(world.control.pk), "tech_id": world.people["tech"].pk,
    "crew_id": world.people["crew"].pk,
    "names": {role: user.name for role, user in world.people.items()},
}, default=str))
"""
TURN = """
from core.models import User
from rigs.models import Rig
from rigs.changes.edits import Set
from rigs.revisions.record import record
rig = Rig.objects.get(pk="{rig}")
record(rig, [Set("{control}", "control", {{"setting": "{setting}"}})],
       author=User.objects.get(pk="{tech_id}"), base=rig.head_number)
import time
print(time.time())
"""
LEAVE = """
from core.models import Membership
Membership.objects.filter(user="{crew_id}").delete()
"""
LOG_OUT = """
from core.sign_in.sessions import SessionStore
SessionStore("{key}").flush()
"""


class Place:
    def __init__(self, environment: dict[str, str], workers: int = 2) -> None:
        self.environment = environment
        self.port = free_port()
        self.known = self.run(SET_UP)
        self.server = subprocess.Popen(
            [
                sys.executable,
                "-m",
                "uvicorn",
                "core.asgi:application",
                "--port",
                str(self.port),
                "--workers",
                str(workers),
                "--lifespan",
                "on",
                "--log-level",
                "warning",
                "--timeout-graceful-shutdown",
                "1",
            ],
            env=self.environment,
            cwd=ROOT,
        )
        wait_for(self.port)

    def run(self, code: str) -> Any:
        return run(code, self.environment)

    def look(self, who: str, since: int = 1) -> Reader:
        path = f"/p/{self.known['production']}/rigs/{self.known['rig']}/live/?since={since}"
        return Reader(self.port, path, self.known[who])

    def turn(self, setting: str) -> float:
        return float(self.run(TURN.format(setting=setting, **self.known)))

    def stop(self) -> None:
        self.server.terminate()
        self.server.wait(PATIENCE_S)
