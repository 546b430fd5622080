"""Put the files of an archive into the storage, and remove them where the import fails.

A list of the files is in the storage meanwhile. A list that is still there when the next import
begins was left by one that was killed; the files on it are removed then.
"""

from __future__ import annotations

import hashlib
import json
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from types import TracebackType
from typing import IO, Self

from django.core.files.base import ContentFile, File
from django.core.files.storage import default_storage

from notes.archive.checks import ArchiveRefused
from notes.archive.files import PATHS, is_named
from notes.archive.reader import Archive
from notes.archive.rows import NotTaken

FOLDER = "importing"
_CHUNK = 1 << 20


class FileRestore:
    """A context that restores the files. An error inside removes those that no row names."""

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
        with suppress(Exception):  # the next import deletes it
            default_storage.delete(self._list)

    def restore(self) -> None:
        """Store all files. Raises ArchiveRefused, or NotTaken where the storage fails."""
        files = list(self.archive.files())
        listed = json.dumps([[folder, sha256] for _, folder, sha256 in files])
        # Before the first file, so that an import that is killed leaves word of what it may have
        # left.
        with _storage_at(self._list):
            default_storage.save(self._list, ContentFile(listed.encode()))
        for name, folder, sha256 in files:
            if self.archive.members[name]["sha256"] != sha256:
                raise ArchiveRefused(f"{name}: its name is not its digest.")
            with tempfile.TemporaryFile() as held:
                for piece in self.archive.read(name):
                    held.write(piece)
                with _storage_at(PATHS[folder](sha256)):
                    self._store(folder, sha256, held)

    def _store(self, folder: str, sha256: str, held: IO[bytes]) -> None:
        path = PATHS[folder](sha256)
        if default_storage.exists(path):
            # The same bytes may belong to another production, which must not lose them.
            if _hash(path) == sha256:
                return
            default_storage.delete(path)  # cut short by a crash
        self._brought.append((folder, sha256))  # first, because half a file is one to take away
        held.seek(0)
        written = default_storage.save(path, File(held))
        if written != path:  # somebody wrote the same bytes meanwhile
            default_storage.delete(written)


@contextmanager
def _storage_at(path: str) -> Iterator[None]:
    """Raises NotTaken, with the file, for whatever the storage raises: each has its own errors."""
    try:
        yield
    except Exception as error:
        why = getattr(error, "strerror", None) or str(error) or type(error).__name__
        raise NotTaken(f"The storage failed at {path} ({why}).") from error


def clear_away() -> None:
    """Remove what an import that was killed left. Call it only while no other import runs.

    Raises NotTaken where the storage fails.
    """
    for name in _lists():
        with _storage_at(name):
            take_away(_listed_in(name))
            default_storage.delete(name)


def _listed_in(name: str) -> list[tuple[str, str]]:
    with default_storage.open(name) as file:
        try:
            return [(str(folder), str(sha256)) for folder, sha256 in json.load(file)]
        except ValueError:  # killed before the list was whole, and so before any file
            return []


def _lists() -> list[str]:
    with _storage_at(FOLDER):
        try:
            _, names = default_storage.listdir(FOLDER)
        except FileNotFoundError:
            return []
    return [f"{FOLDER}/{name}" for name in sorted(names)]


def take_away(files: list[tuple[str, str]]) -> None:
    """Delete those of the files, folder and hash each, that no row of any production names."""
    for folder, sha256 in files:
        # Files are shared by their content: another production may name the same one.
        if not is_named(folder, sha256):
            with suppress(Exception):
                default_storage.delete(PATHS[folder](sha256))


def _hash(path: str) -> str:
    digest = hashlib.sha256()
    with default_storage.open(path) as file:
        for piece in file.chunks(_CHUNK):
            digest.update(piece)
    return digest.hexdigest()
