"""Python code in a process of its own, on the settings of the test run."""

from __future__ import annotations

import json
import os
import socket
import tempfile
from pathlib import Path
from typing import Any

from tests.support.loaded import ROOT, begin

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
    with tempfile.TemporaryFile("w+") as out, tempfile.TemporaryFile("w+") as err:
        ended = begin(environment, out, err, code=START + code).wait()
        out.seek(0), err.seek(0)
        assert ended == 0, err.read()
        said = out.read().splitlines()
    return json.loads(said[-1]) if said else None


def free_port() -> int:
    with socket.socket() as probe:
        # Port 0: the system picks one that is free.
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])
