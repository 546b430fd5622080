"""Bring an archive's files into the storage, and take them away again where the rows do not follow.

A list of what is to be brought is kept in the storage meanwhile. Whatever it still names when the
next import begins was left by one that was killed, and goes.
"""

from __future__ import annotations

import hashlib
import json
import tempfile
from collections.abc import Iterator
from contextlib import suppress
from types import TracebackType
from typing import IO, Self

from django.core.files.base import ContentFile, File
from django.core.files.storage import default_storage

from notes.archive.checks import ArchiveRefused
from notes.archive.files import PATHS, is_named
from notes.archive.reader import Archive

FOLDER = "importing"
_CHUNK = 1 << 20


class FileRestore:
    """Ends well: the files are there. Ends in an error: none is that nobody names."""

    def __init__(self, archive: Archive) -> None:
        self.archive = archive
        self._list = f"{FOLDER}/{archive.production}.json"
        self._brought: list[tuple[str, str]] = []

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: object, trace: TracebackType | None
    ) -> None:
        if kind is not None:
            take_away(self._brought)
        with suppress(OSError):
            default_storage.delete(self._list)

    def restore(self) -> None:
        """Raises Refused, or OSError where the storage does not take them."""
        files = list(self.archive.files())
        listed = json.dumps([[folder, sha256] for _, folder, sha256 in files])
        # Before the first file, so that an import that is killed leaves word of what it may have
        # left.
        default_storage.save(self._list, ContentFile(listed.encode()))
        for name, folder, sha256 in files:
            if self.archive.members[name]["sha256"] != sha256:
                raise ArchiveRefused(f"{name}: its name is not its digest.")
            with tempfile.TemporaryFile() as held:
                for piece in self.archive.read(name):
                    held.write(piece)
                self._store(folder, sha256, held)

    def _store(self, folder: str, sha256: str, held: IO[bytes]) -> None:
        path = PATHS[folder](sha256)
        if default_storage.exists(path):
            if _hash(path) == sha256:
                return
            default_storage.delete(path)  # cut short by a crash
        self._brought.append((folder, sha256))  # first, because half a file is one to take away
        held.seek(0)
        written = default_storage.save(path, File(held))
        if written != path:  # somebody wrote the same bytes meanwhile
            default_storage.delete(written)


def clear_away() -> None:
    """What an import left that was killed. To be called where no other import is under way."""
    for name in _lists():
        with default_storage.open(name) as file:
            try:
                left = [(str(folder), str(sha256)) for folder, sha256 in json.load(file)]
            except ValueError:  # killed before the list was whole, and so before any file
                left = []
        take_away(left)
        default_storage.delete(name)


def _lists() -> Iterator[str]:
    try:
        _, names = default_storage.listdir(FOLDER)
    except FileNotFoundError:
        return
    yield from (f"{FOLDER}/{name}" for name in sorted(names))


def take_away(files: list[tuple[str, str]]) -> None:
    """Delete those of the files, folder and hash each, that no row of any production names."""
    for folder, sha256 in files:
        if not is_named(folder, sha256):
            with suppress(OSError):
                default_storage.delete(PATHS[folder](sha256))


def _hash(path: str) -> str:
    digest = hashlib.sha256()
    with default_storage.open(path) as file:
        for piece in file.chunks(_CHUNK):
            digest.update(piece)
    return digest.hexdigest()
