"""Two real processes lose no edit; a process killed while writing leaves a history that verifies.

The run's own test database may live in memory, so these make one that processes can share.
"""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.support.loaded import ROOT
from tests.support.own_process import own_database
from tests.support.patience import PATIENCE_S

SET_UP = """
import json, django
django.setup()
from uuid import uuid4
from django.core.management import call_command
call_command("migrate", verbosity=0)
from tests.support.world import make_world
from rigs.changes.edits import Add
world = make_world()
ids = [str(uuid4()), str(uuid4())]
fields = {"unit": str(world.unit.pk), "name": "c", "style": "text"}
world.record(*[Add(i, "control", fields) for i in ids])
print(json.dumps({"rig": str(world.rig.pk), "controls": ids}))
"""
LOOK = """
import json, sys, django
django.setup()
from rigs.models import Rig, Revision
from rigs.revisions.verify import verify_rig
rig = Rig.objects.get(pk=sys.argv[1])
print(json.dumps({"walked": verify_rig(rig), "written": [
    c.new for r in Revision.objects.filter(rig=rig).order_by("number") for c in r.changes.all()
    if c.field == "setting"]}))
"""
pytestmark = pytest.mark.django_db(transaction=True)


class Shared:
    """A database that several processes write, and the rig in it."""

    def __init__(self, environment: dict[str, str]) -> None:
        self.environment = environment
        self.ids = json.loads(self.run(SET_UP))

    def run(self, code: str, *arguments: str) -> str:
        command = [sys.executable, "-c", code, *arguments]
        done = subprocess.run(
            command, env=self.environment, cwd=ROOT, capture_output=True, text=True, check=False
        )
        assert done.returncode == 0, done.stderr
        return done.stdout

    def writer(self, control: int, name: str, edits: int) -> subprocess.Popen[str]:
        return subprocess.Popen(
            [
                sys.executable,
                "-m",
                "tests.support.writer_process",
                self.ids["rig"],
                self.ids["controls"][control],
                name,
                str(edits),
            ],
            env=self.environment,
            cwd=ROOT,
            stdout=subprocess.PIPE,
            text=True,
        )

    def look(self) -> dict[str, list[str]]:
        return json.loads(self.run(LOOK, self.ids["rig"]))


@pytest.fixture
def shared(tmp_path: Path) -> Iterator[Shared]:
    with own_database(tmp_path) as environment:
        yield Shared(environment)


def test_two_processes_writing_one_rig_lose_no_edit(shared: Shared) -> None:
    each = 25
    for writer in [shared.writer(0, "left", each), shared.writer(1, "right", each)]:
        writer.wait(timeout=PATIENCE_S)
        assert writer.returncode == 0
    written = shared.look()["written"]
    assert sorted(written) == sorted(f"{n} {c}" for n in ("left", "right") for c in range(each))


def test_two_processes_writing_one_control_keep_both_histories(shared: Shared) -> None:
    for writer in [shared.writer(0, "left", 10), shared.writer(0, "right", 10)]:
        writer.wait(timeout=PATIENCE_S)
        assert writer.returncode == 0
    assert len(shared.look()["written"]) == 20


def test_a_process_killed_while_writing_leaves_a_history_that_verifies(shared: Shared) -> None:
    writer = shared.writer(0, "gone", 100_000)
    assert writer.stdout is not None
    told = [int(writer.stdout.readline()) for _ in range(30)]
    os.kill(writer.pid, signal.SIGKILL)
    writer.wait(timeout=PATIENCE_S)
    left = shared.look()
    assert left["walked"] >= told[-1]
    assert left["written"][:30] == [f"gone {count}" for count in range(30)]
