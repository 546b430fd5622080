"""`verify --progress` and `reindex` are killed on their way, and go on where they were.

In processes of their own, on a database of their own: what is not on disk by then is gone.
"""

from __future__ import annotations

import signal
import subprocess
import sys
from pathlib import Path

import pytest

from tests.support.loaded import ROOT
from tests.support.prepared import prepare
from tests.support.running import START, run, sqlite_environment

NAMES = ("One", "Two", "Three")
SET_UP = f"""
from tests.support.world import make_world
for name in {NAMES}:
    make_world(name).turn("2:00")
"""
# Behind the back of the gateway, so that `verify` has something to name in each of them.
BROKEN = """
from django.db import connection
with connection.cursor() as cursor:
    cursor.execute("UPDATE rigs_unit SET name = 'Other' WHERE name = 'Head'")
"""
VERIFY_KILLED = """
import os, signal, sys
from django.core.management import call_command
from notes.management.commands import verify

walked, count = verify.walked, 0

def killed(*given, **more):
    global count
    count += 1
    found = walked(*given, **more)
    if count == 2:  # it is walked, and not noted yet
        os.kill(os.getpid(), signal.SIGKILL)
    return found

verify.walked = killed
call_command("verify", progress=verify.Path(sys.argv[1]))
"""
REINDEX_KILLED = """
import os, signal, sys
from django.core.management import call_command
from core.search import sources

put_in, left = sources._put_in, int(sys.argv[1])

def killed(entries):
    global left
    put_in(entries)
    left -= 1
    if left == 0:  # in the middle of the transaction
        os.kill(os.getpid(), signal.SIGKILL)

sources._put_in = killed
call_command("reindex")
"""
REINDEX_COUNTED = """
import io
from django.core.management import call_command
from core.models import SearchEntry
from core.search import sources

put_in, count = sources._put_in, 0

def counted(entries):
    global count
    put_in(entries)
    count += 1

sources._put_in = counted
call_command("reindex", missing={missing}, stdout=io.StringIO())
# Without the moment, which for some is that of the filling.
names = [f.name for f in SearchEntry._meta.concrete_fields if f.name not in ("id", "at")]
rows = sorted(map(str, SearchEntry.objects.values_list(*names)))
print(json.dumps([count, rows]))
"""

pytestmark = pytest.mark.own_sqlite


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    prepare(tmp_path, SET_UP)
    return tmp_path


def python(folder: Path, *words: str) -> subprocess.CompletedProcess[str]:
    environment = sqlite_environment(folder) | {"TONELEDGER_MODE": "local"}
    return subprocess.run(  # noqa: S603
        [sys.executable, *words], cwd=ROOT, env=environment, capture_output=True, text=True
    )


def test_verify_names_what_it_found_before_it_was_killed(folder: Path) -> None:
    run(BROKEN, sqlite_environment(folder))
    progress = folder / "progress"
    whole = python(folder, "manage.py", "verify")
    assert whole.stderr.count("without a record: unit") == 3
    killed = python(folder, "-c", START + VERIFY_KILLED, str(progress))
    assert killed.returncode == -signal.SIGKILL, killed.stderr
    assert len(progress.read_text().splitlines()) == 1
    resumed = python(folder, "manage.py", "verify", "--progress", str(progress))
    assert [line[:6] for line in resumed.stdout.splitlines()[:2]] == ["2 of 3", "3 of 3"]
    assert resumed.stdout.splitlines()[-1] == whole.stdout.splitlines()[-1]  # all are counted
    # All that is broken, of the production before the kill, too; then the next run begins anew.
    assert sorted(resumed.stderr.splitlines()) == sorted(whole.stderr.splitlines())
    assert resumed.returncode == whole.returncode == 1
    assert not progress.exists()


def test_reindex_puts_in_no_more_than_was_missing(folder: Path) -> None:
    at = sqlite_environment(folder)
    slices, everything = run(REINDEX_COUNTED.format(missing=False), at)
    assert slices % len(NAMES) == 0
    done = slices // len(NAMES) + 2  # a production, and two slices of the next; the third is lost
    killed = python(folder, "-c", START + REINDEX_KILLED, str(done + 1))
    assert killed.returncode == -signal.SIGKILL, killed.stderr
    # Those that were still whole from before are filled already: only one goes on.
    slices_after, rows = run(REINDEX_COUNTED.format(missing=True), at)
    assert slices_after == slices // len(NAMES) - 2
    assert rows == everything
