"""Write a file that appears only when it is whole, from one state of the database."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any, BinaryIO

from django.db import connection, transaction

_OPEN_FILES = "/proc/self/fd"
_MODE = 0o600  # names and addresses of people are in it


@contextmanager
def written_whole(target: Path) -> Iterator[BinaryIO]:
    """A file to write to. It gets its name, and is on the disk, once the block has ended well.

    Where the system has files without a name (Linux), not even a killed process leaves anything.
    Raises FileExistsError where somebody wrote `target` meanwhile.
    """
    part = target.with_name(f".{target.name}.part")
    nameless = _nameless(target.parent)
    handle = nameless if nameless is not None else os.open(part, _NEW, _MODE)
    try:
        with os.fdopen(handle, "w+b") as file:
            yield file
            file.flush()
            os.fsync(handle)
            if nameless is None:
                # A link and no rename: it fails where `target` is there, and a rename would replace
                # it.
                os.link(part, target)
            else:
                _name(handle, target)
        # The name of a file is an entry of its folder: without this a power cut could lose it.
        _sync_folder(target.parent)
    finally:
        if nameless is None:
            part.unlink(missing_ok=True)


_NEW = os.O_RDWR | os.O_CREAT | os.O_TRUNC


def _nameless(folder: Path) -> int | None:
    kind = getattr(os, "O_TMPFILE", None)
    if kind is None or not os.path.isdir(_OPEN_FILES):
        return None
    with suppress(OSError):
        return os.open(folder, kind | os.O_RDWR, _MODE)
    return None


def _name(handle: int, target: Path) -> None:
    # A folder to start from makes Python follow the link to the open file; the path is absolute.
    folder = os.open(_OPEN_FILES, os.O_RDONLY)
    try:
        os.link(f"{_OPEN_FILES}/{handle}", target, src_dir_fd=folder)
    finally:
        os.close(folder)


def _sync_folder(folder: Path) -> None:
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


@contextmanager
def one_state() -> Iterator[None]:
    """Read one moment of the database inside the block, without keeping anybody from writing."""
    database: Any = connection
    before = getattr(database, "transaction_mode", None)  # of SQLite only
    nested = connection.in_atomic_block
    if connection.vendor == "sqlite" and not nested:
        database.transaction_mode = "DEFERRED"  # reads take no lock
    try:
        with transaction.atomic():
            if connection.vendor == "postgresql" and not nested:
                with connection.cursor() as cursor:
                    cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
            yield
    finally:
        if connection.vendor == "sqlite":
            database.transaction_mode = before
