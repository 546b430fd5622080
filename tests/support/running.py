"""Python code in a process of its own, on the settings of the test run."""

from __future__ import annotations

import json
import os
import socket
import subprocess
import sys
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
START = "import json, django\ndjango.setup()\n"
DATABASE_FILE = "toneledger.sqlite3"  # in TONELEDGER_DATA, see core/settings.py


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


def free_port() -> int:
    with socket.socket() as probe:
        # Port 0: the system picks one that is free.
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])
