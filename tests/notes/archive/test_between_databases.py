"""An archive of one kind of database into the other and back is the same, byte for byte.

The tests run on SQLite or on PostgreSQL; the other server here is always a new SQLite. So the
run on PostgreSQL goes both ways.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from typing import Any

from core.models import Checkpoint
from core.proof.checkpoints import take
from notes.archive.load import load
from notes.archive.writer import export
from tests.notes.archive.full import fill_all
from tests.notes.archive.test_round_trip import ROOT, forget
from tests.support.world import World


def test_there_and_back(world: World, tmp_path: Path, settings: Any) -> None:
    settings.MEDIA_ROOT = tmp_path / "media"
    fill_all(world)
    here, there, back = (tmp_path / f"{name}.zip" for name in ("here", "there", "back"))
    production = str(world.production.pk)
    take(world.production.pk, Checkpoint.Why.ASKED)  # as the command does, elsewhere
    export(world.production, here)
    for command in (
        ["migrate", "-v0"],
        ["import", str(here)],
        ["verify"],
        ["export", production, str(there)],
    ):
        manage(tmp_path / "elsewhere", *command)
    assert there.read_bytes() == here.read_bytes()
    forget()
    settings.MEDIA_ROOT = tmp_path / "again"
    export(load(there), back)
    assert back.read_bytes() == here.read_bytes()


def manage(data: Path, *command: str) -> None:
    """Run a command of another server, with its own data folder."""
    own = {k: v for k, v in os.environ.items() if k not in ("DATABASE_URL", "TONELEDGER_MEDIA")}
    own |= {
        "TONELEDGER_MODE": "local",
        "TONELEDGER_DATA": str(data),
        "DJANGO_SETTINGS_MODULE": "core.settings",
    }
    done = subprocess.run(
        [sys.executable, "manage.py", *command],
        cwd=ROOT,
        env=own,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
