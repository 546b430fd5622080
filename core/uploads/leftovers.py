"""Files that a crash left behind in the storage, and that no row speaks of."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import suppress
from datetime import datetime

from django.core.files.storage import default_storage


def drop_files(folder: str, is_named: Callable[[str], bool], before: datetime) -> Iterator[str]:
    """Delete what lies in the folders below `folder` since `before` and is not named by its path;
    the paths, as they go. Younger files may belong to a row that is not yet written."""
    for path in _files(folder):
        with suppress(FileNotFoundError):
            if default_storage.get_modified_time(path) < before and not is_named(path):
                default_storage.delete(path)
                yield path


def _files(folder: str) -> Iterator[str]:
    try:
        folders, _ = default_storage.listdir(folder)
    except FileNotFoundError:
        return
    for each in sorted(folders):
        for name in default_storage.listdir(f"{folder}/{each}")[1]:
            yield f"{folder}/{each}/{name}"
