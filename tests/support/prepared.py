"""What many tests begin with on disk, made once in each process of the run and then copied."""

from __future__ import annotations

import atexit
import functools
import shutil
import tempfile
from copy import deepcopy
from pathlib import Path
from typing import Any

from tests.support.migrated import MIGRATE, sqlite_file
from tests.support.running import DATABASE_FILE, run, sqlite_environment


@functools.cache
def _made(code: str) -> tuple[Path, Any]:
    folder = Path(tempfile.mkdtemp(prefix="toneledger-prepared-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    shutil.copy(sqlite_file(), folder / DATABASE_FILE)
    return folder, run(MIGRATE + code, sqlite_environment(folder))


def prepare(folder: Path, code: str = "") -> Any:
    """Put into `folder` a migrated SQLite database on which `code` ran, and its files.

    Returns what `code` printed, as JSON.
    """
    made, said = _made(code)
    shutil.copytree(made, folder, dirs_exist_ok=True)
    return deepcopy(said)  # a test may change what it was told
