"""Files that a crash left behind in the storage, and that no row speaks of."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from contextlib import suppress
from datetime import datetime

from django.core.files.storage import default_storage


def drop_files(
    top: str, named_in: Callable[[str], Collection[str]], before: datetime
) -> Iterator[str]:
    """Delete files in the folders below `top` that are older than `before` and that no row names;
    their paths, as they go. Younger ones may belong to a row that is not yet written.

    `named_in` is asked once for each folder, by its name below `top`: the paths in it that rows
    speak of.
    """
    for folder in _listed(top)[0]:
        paths = [f"{top}/{folder}/{name}" for name in _listed(f"{top}/{folder}")[1]]
        old = [path for path in paths if _is_older(path, before)]
        named = named_in(folder) if old else ()
        for path in old:
            if path not in named:
                default_storage.delete(path)
                yield path


def _listed(folder: str) -> tuple[list[str], list[str]]:
    """Folders and files in it."""
    try:
        folders, files = default_storage.listdir(folder)
    except FileNotFoundError:
        return [], []
    return sorted(folders), sorted(files)


def _is_older(path: str, before: datetime) -> bool:
    with suppress(FileNotFoundError):  # somebody else was faster
        return bool(default_storage.get_modified_time(path) < before)
    return False
