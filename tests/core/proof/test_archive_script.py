"""The program that verifies an archive by itself accepts an export and names what was changed."""

from __future__ import annotations

import json
import subprocess
import sys
import zipfile
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path

import pytest

from core.models import Checkpoint
from core.proof import key
from core.proof.checkpoints import stated, take
from notes.archive.writer import export
from tests.notes.archive.full import fill_all
from tests.support.world import World

SCRIPT = Path(__file__).parents[3] / "core/proof/verify_archive.py"


def verify(*given: object) -> tuple[int, str]:
    # Isolated, so that it can find nothing of the project.
    command = [sys.executable, "-I", SCRIPT, *map(str, given)]
    run = subprocess.run(command, capture_output=True, text=True, check=False)
    return run.returncode, run.stdout + run.stderr


def rewritten(archive: Path, change: Callable[[dict[str, bytes]], None]) -> Path:
    """A copy with other members, whose manifest says that they are right."""
    with zipfile.ZipFile(archive) as zipped:
        members = {name: zipped.read(name) for name in zipped.namelist()}
    change(members)
    manifest = json.loads(members["manifest.json"])
    for name, body in members.items():
        if name != "manifest.json":
            manifest["members"][name] = {"bytes": len(body), "sha256": sha256(body).hexdigest()}
    members["manifest.json"] = json.dumps(manifest).encode()
    with zipfile.ZipFile(archive.with_suffix(".other"), "w") as zipped:
        for name, body in members.items():
            zipped.writestr(name, body)
    return archive.with_suffix(".other")


@pytest.mark.any_database
def test_it_verifies_an_export_and_names_what_was_changed(
    world: World, signed: key.Key, tmp_path: Path
) -> None:
    fill_all(world)
    made = take(world.production.pk, Checkpoint.Why.ASKED)
    assert made is not None
    archive, kept = tmp_path / "a.zip", tmp_path / "kept.json"
    export(world.production, archive)
    kept.write_text(json.dumps(stated(made).as_json()))
    code, said = verify(archive, kept, stated(made).code)
    assert (code, said[-31:]) == (0, "Everything is as it was written.\n"[-31:]), said
    assert "signatures hold" in said

    def other_words(members: dict[str, bytes]) -> None:
        body = members["records/notes.note.json"].replace(b'"words":"', b'"words":"Not ', 1)
        members["records/notes.note.json"] = body

    code, said = verify(rewritten(archive, other_words))
    assert code == 1
    assert "notes.note" in said
    assert "is not what was written" in said

    def cut(members: dict[str, bytes]) -> None:
        rows = members["records/core.logentry.json"].splitlines(keepends=True)
        left = b"".join(rows[:-2]).rstrip(b",\n")
        members["records/core.logentry.json"] = left + b"\n]\n"
        members["records/core.checkpoint.json"] = b"[]\n"

    code, said = verify(rewritten(archive, cut), kept)
    assert code == 1
    assert "The end of the log was cut" in said
