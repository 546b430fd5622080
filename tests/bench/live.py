"""How soon a change is seen on another open page of the same rig.

    python -m tests.bench.live [edits]

Turns one knob through the page of its unit and reads the streams of two other people. On SQLite
once in one process, and once changed in one process and read in another; with DATABASE_URL on
PostgreSQL (its user must be allowed to create databases) the same by NOTIFY. *Seen* counts from the
press, before the form has left, until the change has arrived in the reader; *after the answer* from
when the one who pressed had theirs: below zero is before it. Prints a table in Markdown.
"""

from __future__ import annotations

import http.client
import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from urllib.parse import urlencode

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.bench.settings")
django.setup()

from django.db import connection

from tests.support.live_place import Place, Reader, wait_for
from tests.support.loaded import ROOT
from tests.support.own_process import own_database
from tests.support.posting import shown
from tests.support.running import free_port

READERS = ("engineer", "player")
SETTINGS = ("3:00", "9:00")


class Knob:
    """The page of a unit, at one of the servers."""

    def __init__(self, place: Place, port: int) -> None:
        self.connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
        known = place.known
        self.path = f"/p/{known['production']}/rigs/{known['rig']}/units/{known['unit']}/"
        self.cookie, self.control = known["tech"], known["control"]

    def _ask(self, method: str, **more: object) -> tuple[http.client.HTTPResponse, str]:
        headers = {"Cookie": self.cookie, "Content-Type": "application/x-www-form-urlencoded"}
        self.connection.request(method, self.path, headers=headers, **more)  # type: ignore[arg-type]
        answer = self.connection.getresponse()
        return answer, answer.read().decode()

    def turn(self, setting: str) -> tuple[float, float]:
        """When it was pressed, and when the answer was there."""
        answer, html = self._ask("GET")
        for header in answer.headers.get_all("Set-Cookie") or []:
            if header.startswith("csrftoken="):
                self.cookie = f"{self.cookie.split(';')[0]}; {header.split(';')[0]}"
        sent = shown(html)
        [name] = [name for name, value in sent.items() if value in (*SETTINGS, "2:30")]
        body = urlencode(sent | {name: setting})
        begun = time.perf_counter()
        answer, _ = self._ask("POST", body=body)
        assert answer.status == 302, answer.status
        return begun, time.perf_counter()


def seen(reader: Reader, setting: str) -> float:
    while True:
        told = reader.next("change", within=30)
        if setting in " ".join(told["words"]):
            return time.perf_counter()


def percentile(found: list[float], share: float) -> float:
    return sorted(found)[min(len(found) - 1, round(share * len(found)))]


def measure(place: Place, edits: int, *, apart: bool) -> str:
    port = free_port() if apart else place.port
    command = [
        sys.executable,
        "-m",
        "uvicorn",
        "core.asgi:application",
        "--port",
        str(port),
        "--lifespan",
        "on",
        "--log-level",
        "warning",
    ]
    other = subprocess.Popen(command, env=place.environment, cwd=ROOT) if apart else None
    wait_for(port)
    knob, after_press, after_answer = Knob(place, port), [], []
    path = f"/p/{place.known['production']}/rigs/{place.known['rig']}/live/"
    readers = [Reader(place.port, path, place.known[who]) for who in READERS]
    # Time for both readers to have their streams open before the first change.
    time.sleep(1)
    for n in range(edits):
        setting = SETTINGS[n % 2]
        pressed, answered = knob.turn(setting)
        for reader in readers:
            at = seen(reader, setting)
            after_press.append((at - pressed) * 1000)
            after_answer.append((at - answered) * 1000)
    for reader in readers:
        reader.close()
    if other is not None:
        other.kill()
    where = "two processes" if apart else "one process"
    figures = (
        statistics.median(after_press),
        percentile(after_press, 0.95),
        max(after_press),
        statistics.median(after_answer),
        percentile(after_answer, 0.95),
    )
    cells = " | ".join(f"{ms:.0f}" for ms in figures)
    return f"| {connection.vendor} | {where} | {edits} | {cells} |"


def main(edits: int) -> None:
    print(
        "| database | where | edits | seen, median ms | 95 % | most "
        "| after the answer, median ms | 95 % |"
    )
    print("|---|---|---|---|---|---|---|---|")
    with (
        tempfile.TemporaryDirectory(prefix="live_bench") as folder,
        own_database(Path(folder)) as environment,
    ):
        place = Place(environment, workers=1)
        try:
            for apart in (False, True):
                print(measure(place, edits, apart=apart), flush=True)
        finally:
            place.stop()


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100)
