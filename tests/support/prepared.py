"""What many tests begin with on disk, made once in each process of the run and then copied."""

from __future__ import annotations

import atexit
import functools
import json
import os
import shutil
import subprocess
import sys
import tempfile
from copy import deepcopy
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
START = "import json, django\ndjango.setup()\n"
MIGRATE = """
from django.core.management import call_command
call_command("migrate", verbosity=0)
"""


def sqlite_environment(folder: Path) -> dict[str, str]:
    """Settings of the test run, on an SQLite file in `folder`."""
    found = {
        **os.environ,
        "DJANGO_SETTINGS_MODULE": "tests.settings",
        "TONELEDGER_DATA": str(folder),
        "PYTHONPATH": str(ROOT),
    }
    # It would win over the folder, in a run on PostgreSQL.
    found.pop("DATABASE_URL", None)
    return found


def run(code: str, environment: dict[str, str]) -> Any:
    """What `code` prints last, as JSON; None if it prints nothing."""
    done = subprocess.run(
        [sys.executable, "-c", START + code],
        env=environment,
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    said = done.stdout.splitlines()
    return json.loads(said[-1]) if said else None


# Migrating takes seconds, copying its result hardly any time.
@functools.cache
def _made(code: str) -> tuple[Path, Any]:
    folder = Path(tempfile.mkdtemp(prefix="toneledger-prepared-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    return folder, run(MIGRATE + code, sqlite_environment(folder))


def prepare(folder: Path, code: str = "") -> Any:
    """Put into `folder` a migrated SQLite database on which `code` ran, and its files.

    Returns what `code` printed, as JSON.
    """
    made, said = _made(code)
    shutil.copytree(made, folder, dirs_exist_ok=True)
    return deepcopy(said)  # a test may change what it was told
