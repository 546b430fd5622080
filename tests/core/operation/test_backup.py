"""Backups that are taken while processes write, and what comes back of them."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from django.db import connection

from core.operation import backup
from tests.support.loaded import ROOT
from tests.support.own_process import own_database, server_environment
from tests.support.prepared import prepare
from tests.support.running import run

SET_UP = """
from uuid import uuid4
from rigs.changes.edits import Add
from rigs.photos.prepare import Prepared
from rigs.photos.storage import store
from tests.support.world import make_world
world = make_world("Kept")
control = str(uuid4())
world.record(Add(control, "control", {"unit": str(world.unit.pk), "name": "c", "style": "text"}))
store(Prepared(full=b"the picture", thumb=b"a small one", width=2, height=2),
      production=world.production, taken_by=world.tech)
print(json.dumps({"rig": str(world.rig.pk), "control": control}))
"""
COUNT = """
from rigs.models import Revision
print(json.dumps(Revision.objects.count()))
"""


def manage(environment: dict[str, str], *words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "manage.py", *words],
        env={**environment, "DJANGO_SETTINGS_MODULE": "core.settings", "TONELEDGER_MODE": "local"},
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )


def writer(environment: dict[str, str], rig: str, control: str, name: str) -> Any:
    words = ["-m", "tests.support.writer_process", rig, control, name, "100000"]
    return subprocess.Popen(
        [sys.executable, *words], env=environment, cwd=ROOT, stdout=subprocess.PIPE, text=True
    )


@pytest.mark.django_db(transaction=True)
def test_what_is_taken_while_processes_write_comes_back_whole(tmp_path: Path) -> None:
    here, there, kept = tmp_path / "here", tmp_path / "there", tmp_path / "kept"
    here.mkdir()
    there.mkdir()
    if connection.vendor == "sqlite":
        prepare(here)
    environment = server_environment(here)
    with own_database(there, is_empty=True) as elsewhere:
        environment["TONELEDGER_MEDIA"] = str(here / "media")
        elsewhere["TONELEDGER_MEDIA"] = str(there / "media")
        ids = run(SET_UP, {**environment, "PYTEST_XDIST_WORKER": "media"})
        _beside(here)
        writers = [
            writer(environment, ids["rig"], ids["control"], name) for name in ("left", "right")
        ]
        try:
            for each in writers:
                each.stdout.readline()
            before = run(COUNT, environment)
            for _ in range(2):
                done = manage(environment, "backup", str(kept), "--keep", "1")
                assert done.returncode == 0, done.stderr
            after = run(COUNT, environment)
        finally:
            for each in writers:
                each.kill()
                each.wait()
        (taken,) = backup.all_in(kept)  # the one before is gone, and its file of the photo is not
        assert len(taken.manifest["files"]) == 2
        refused = manage(environment, "restore", str(kept))
        assert "The database is not empty" in refused.stderr
        _is_refused_when_damaged(elsewhere, taken)
        back = manage(elsewhere, "restore", str(kept))
        assert back.returncode == 0, back.stderr
        assert "The database and 2 files are back." in back.stdout
        assert "Everything is as it was written." in back.stdout
        assert before < run(COUNT, elsewhere) < after


def _beside(here: Path) -> None:
    """Settings of tests keep the files of each process of the run in a folder of its own."""
    for folder in (here / "media").glob("*/photos"):
        folder.rename(here / "media/photos")


def _is_refused_when_damaged(elsewhere: dict[str, str], taken: backup.Backup) -> None:
    file = taken.files / next(iter(taken.manifest["files"]))
    whole = file.read_bytes()
    file.write_bytes(whole[:-1])
    refused = manage(elsewhere, "restore", str(taken.place))
    assert "missing or not what was written" in refused.stderr
    file.write_bytes(whole)


def made(folder: Path, name: str, *files: str) -> None:
    (folder / name).mkdir(parents=True)
    told = {"files": {each: {"size": 1, "sha256": ""} for each in files}}
    (folder / name / backup.MANIFEST).write_text(json.dumps(told))
    for each in files:
        (folder / backup.FILES / each).parent.mkdir(parents=True, exist_ok=True)
        (folder / backup.FILES / each).write_text("x")


def left(folder: Path) -> set[str]:
    return {str(each.relative_to(folder)) for each in folder.rglob("*") if each.is_file()}


def test_the_newest_are_kept_with_the_files_that_they_name(tmp_path: Path) -> None:
    made(tmp_path, "2026-11-01T040000Z", "photos/aa/first", "photos/bb/second")
    made(tmp_path, "2026-11-02T040000Z", "photos/bb/second")
    made(tmp_path, "2026-11-03T040000Z", "photos/cc/third")
    (tmp_path / "2026-10-31T040000Z.unfinished").mkdir()
    (tmp_path / "2026-11-04T040000Z.unfinished").mkdir()  # somebody is making it
    gone = backup.keep(tmp_path, 2)
    assert gone == ["2026-11-01T040000Z", "2026-10-31T040000Z.unfinished"]
    assert left(tmp_path) == {
        "2026-11-02T040000Z/backup.json",
        "2026-11-03T040000Z/backup.json",
        "files/photos/bb/second",
        "files/photos/cc/third",
    }
    assert backup.keep(tmp_path, 2) == []


def test_what_cannot_be_read_costs_nothing(tmp_path: Path) -> None:
    made(tmp_path, "2026-11-01T040000Z", "photos/aa/first")
    made(tmp_path, "2026-11-02T040000Z", "photos/bb/second")
    (tmp_path / "2026-11-02T040000Z" / backup.MANIFEST).write_text("{")
    before = left(tmp_path)
    with pytest.raises(backup.BackupFailed, match="is no backup"):
        backup.keep(tmp_path, 1)
    assert left(tmp_path) == before


@pytest.mark.parametrize(
    ("words", "wrong"),
    [
        (["--keep", "0"], "at least 1"),
        (["media/kept"], "a backup among"),
    ],
)
def test_what_would_not_do_is_said(
    settings: Any, tmp_path: Path, words: list[str], wrong: str
) -> None:
    from django.core.management import CommandError, call_command

    settings.MEDIA_ROOT = tmp_path / "media"
    folder = tmp_path / "kept" if words[0].startswith("--") else tmp_path / words.pop()
    with pytest.raises(CommandError, match=f"(?i){wrong}"):
        call_command("backup", str(folder), *words)
