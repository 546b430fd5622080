"""Kill the service again and again while eight people write, and look for what was lost or doubled.

python -m tests.bench.kills [kills, 140 unless given]          (DATABASE_URL: on PostgreSQL)

Four send the form of a note, each with a key of its own; four set a control of one rig by the API,
each on a base that they know. Whoever gets no answer sends the same again until there is one. The
process that serves is killed (SIGKILL) at a moment that nothing waits for, once it has answered at
least one of them. In the end every note that was answered is there, none is there twice, every
setting is in the history once and in order, and the chain of the history is whole.
"""

from __future__ import annotations

import contextlib
import http.client
import json
import os
import random
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

from tests.support.loaded import ROOT
from tests.support.migrated import MIGRATE
from tests.support.running import free_port, run, sqlite_environment

SET_UP = """
from django.conf import settings
from django.test import Client
from django.urls import reverse
from uuid import uuid4
from rigs.changes.edits import Add
from tests.support.api import key_of
from tests.support.world import make_world
world = make_world("Killed")
knobs = [str(uuid4()) for _ in range(4)]
plain = {"unit": str(world.unit.pk), "name": "Knob", "style": "text"}
revision = world.record(*[Add(knob, "control", plain) for knob in knobs])
client = Client()
client.force_login(world.tech)
print(json.dumps({
    "note": reverse("notes:note_new", args=[world.production.pk, world.rig.pk]),
    "changes": reverse("api-rig-changes", args=[world.rig.pk]),
    "rig": str(world.rig.pk), "knobs": knobs, "base": revision.number,
    "cookie": client.cookies["sessionid"].value,
    "token": key_of(world.tech),
}))
"""
LOOK = """
from notes.models import Note
from rigs.models import Revision, Rig
from rigs.revisions.verify import verify_rig
rig = Rig.objects.get(pk="{rig}")
settings = {{}}
for revision in Revision.objects.filter(rig=rig).order_by("number"):
    for change in revision.changes.all():
        if change.field == "setting":
            settings.setdefault(str(change.part), []).append(change.new)
print(json.dumps({{
    "notes": list(Note.objects.filter(rig=rig).values_list("words", flat=True)),
    "settings": settings, "walked": verify_rig(rig),
}}))
"""
WRITERS, NOTES = 8, 4  # so many write notes, the others settings


@dataclass
class Outcome:
    kills: int = 0
    seconds: float = 0.0
    answered: int = 0
    repeated: int = 0  # sent again because no answer came
    lost: list[str] = field(default_factory=list)
    doubled: list[str] = field(default_factory=list)
    walked: int = 0


class Writer(threading.Thread):
    """Sends one thing after the other, each until it is answered."""

    def __init__(
        self, number: int, port: int, known: dict[str, Any], stop: threading.Event
    ) -> None:
        super().__init__(daemon=True)
        self.number, self.port, self.known, self.stop = number, port, known, stop
        self.answered: list[str] = []
        self.repeated = 0
        self.refused = ""
        self.base = known["base"]

    def run(self) -> None:
        count = 0
        while not self.stop.is_set() and not self.refused:
            words = f"writer {self.number} says {count}"
            while not self._is_answered(words):
                self.repeated += 1
                time.sleep(0.02)
            count += 1

    def _is_answered(self, words: str) -> bool:
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=30)
        # An answer that broke off is none: it may be no whole JSON.
        with contextlib.suppress(OSError, http.client.HTTPException, ValueError):
            path, body, headers, expected = self._request(words)
            line.request("POST", path, body, headers)
            answer = line.getresponse()
            said = answer.read()
            if answer.status in expected:
                if self.number >= NOTES:
                    self.base = json.loads(said)["head"]["number"]
                self.answered.append(words)
                return True
            # Busy is no answer; anything else means that the trial itself is wrong.
            if answer.status not in (409, 503):
                self.refused = f"{answer.status} {said[:300]!r}"
                return True
        line.close()
        return False

    def _request(self, words: str) -> tuple[str, str, dict[str, str], tuple[int, ...]]:
        """Where to, what, with which headers, and what counts as done."""
        if self.number < NOTES:
            token = "t" * 32  # any, as long as cookie and header agree
            return (
                self.known["note"],
                urlencode({"words": words, "verdict": "adjust", "version": "1"}),
                {
                    "Content-Type": "application/x-www-form-urlencoded",
                    "Cookie": f"sessionid={self.known['cookie']}; csrftoken={token}",
                    "X-CSRFToken": token,
                    "Idempotency-Key": f'"{words.replace(" ", "-")}"',
                },
                (302,),
            )
        edit = {"op": "set", "kind": "control", "part": self.knob, "fields": {"setting": words}}
        return (
            self.known["changes"],
            json.dumps({"base": self.base, "edits": [edit]}),
            {
                "Content-Type": "application/json",
                "Authorization": f"Token {self.known['token']}",
            },
            (200, 201),  # 200: it was so already, because an answer got lost
        )

    @property
    def knob(self) -> str:
        return str(self.known["knobs"][self.number - NOTES])


@contextmanager
def served(environment: dict[str, str], port: int) -> Iterator[subprocess.Popen[str]]:
    process = subprocess.Popen(
        [sys.executable, "-m", "tests.support.killed_server", str(port)],
        env=environment,
        cwd=ROOT,
        stdout=subprocess.PIPE,
        text=True,
    )
    try:
        yield process
    finally:
        process.terminate()
        process.wait(20)


def trial(environment: dict[str, str], kills: int, within_s: float, seed: int = 18) -> Outcome:
    """So many kills, or as many as there is time for, on the database of `environment`."""
    known = run(SET_UP, environment)
    port, stop, moments = free_port(), threading.Event(), random.Random(seed)
    outcome = Outcome()
    writers = [Writer(number, port, known, stop) for number in range(WRITERS)]
    with served(environment, port) as process:
        assert process.stdout is not None
        serving = int(process.stdout.readline())
        for writer in writers:
            writer.start()
        began = time.monotonic()
        while outcome.kills < kills and time.monotonic() - began < within_s:
            _wait_for_an_answer(writers)
            time.sleep(moments.uniform(0, 0.4))
            os.kill(serving, signal.SIGKILL)
            outcome.kills += 1
            serving = int(process.stdout.readline())
        outcome.seconds = time.monotonic() - began
        stop.set()
        for writer in writers:
            writer.join(60)
    refused = {writer.refused for writer in writers} - {""}
    assert not refused, refused
    _judge(outcome, writers, run(LOOK.format(**known), environment))
    return outcome


def _wait_for_an_answer(writers: list[Writer]) -> None:
    before = sum(len(writer.answered) for writer in writers)
    end = time.monotonic() + 60
    while sum(len(writer.answered) for writer in writers) == before:
        refused = {writer.refused for writer in writers} - {""}
        assert not refused, refused
        assert time.monotonic() < end, "nothing is answered any more"
        time.sleep(0.01)


def _judge(outcome: Outcome, writers: list[Writer], found: dict[str, Any]) -> None:
    outcome.answered = sum(len(writer.answered) for writer in writers)
    outcome.repeated = sum(writer.repeated for writer in writers)
    outcome.walked = found["walked"]
    for writer in writers:
        notes = [each for each in found["notes"] if each.startswith(f"writer {writer.number} ")]
        there = notes if writer.number < NOTES else found["settings"].get(writer.knob, [])
        outcome.lost += [each for each in writer.answered if each not in there]
        outcome.doubled += [each for each in set(there) if there.count(each) > 1]
        if writer.number >= NOTES and there[: len(writer.answered)] != writer.answered:
            outcome.lost.append(f"the order of writer {writer.number}")


def main(kills: int) -> None:
    place = tempfile.mkdtemp(prefix="toneledger-kills-")
    environment = sqlite_environment(Path(place))
    if url := os.environ.get("DATABASE_URL"):
        environment["DATABASE_URL"] = url
    run(MIGRATE, environment)
    print(trial(environment, kills, within_s=3600))


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 140)
