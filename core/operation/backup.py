"""A backup while people write, and back again.

    <folder>/2026-11-29T041000Z/database.sqlite3   or database.dump (PostgreSQL's custom format)
    <folder>/2026-11-29T041000Z/backup.json        what belongs to it, with size and SHA-256
    <folder>/files/…                               photos and sounds, shared by all backups

The database is one point in time: SQLite's online backup in one step, or PostgreSQL's dump. Files
never change, because they are named by their digest; so each is copied once, and those of a backup
are all that were there before or after its database was taken. A backup has its name from the
moment it is complete: before, it is called “….unfinished”.
"""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import sqlite3
import subprocess
from collections.abc import Iterator
from contextlib import closing, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

from django.core.files.base import File
from django.core.files.storage import default_storage
from django.db import connection
from django.db.migrations.executor import MigrationExecutor

from core import clock
from core.operation.direct import direct_place

MANIFEST, FILES, UNFINISHED = "backup.json", "files", ".unfinished"
NOT_TAKEN = ("uploads",)  # pieces of what is being sent: whoever sends goes on or begins anew
_CHUNK = 1 << 20
Listed = dict[str, dict[str, Any]]  # path in the storage -> size and SHA-256


class BackupFailed(Exception):
    """A sentence for whoever runs the service."""


@dataclass(frozen=True, slots=True)
class Backup:
    """One that is complete, in a folder of its own."""

    place: Path

    @property
    def manifest(self) -> dict[str, Any]:
        try:
            found: dict[str, Any] = json.loads((self.place / MANIFEST).read_text())
        except (OSError, ValueError) as error:
            raise BackupFailed(f"{self.place} is no backup ({error}).") from None
        return found

    @property
    def files(self) -> Path:
        return self.place.parent / FILES


def take(folder: Path) -> Backup:
    """Back up database and files into `folder`. Raises BackupFailed; nothing that is there already
    is touched then."""
    name = clock.now().strftime("%Y-%m-%dT%H%M%SZ")
    place = folder / (name + UNFINISHED)
    try:
        place.mkdir(parents=True)
        known = _known(folder)
        listed = _copy_files(folder / FILES, known)
        database = _sqlite(place) if connection.vendor == "sqlite" else _postgresql(place)
        listed |= _copy_files(folder / FILES, known | listed)  # what came while it was taken
        told = {
            "made": clock.now().isoformat(),
            "engine": connection.vendor,
            "migrations": sorted(".".join(each) for each in _applied()),
            "database": {"name": database.name, **_told(database)},
            "files": listed,
        }
        _write(place / MANIFEST, json.dumps(told, indent=1).encode())
        done = place.with_name(name)
        place.rename(done)
    except (OSError, sqlite3.Error) as error:
        raise BackupFailed(f"The backup is not complete: {error}.") from None
    return Backup(done)


def all_in(folder: Path) -> list[Backup]:
    """Those that are complete, oldest first."""
    found = folder.glob(f"*/{MANIFEST}")
    return [Backup(each.parent) for each in sorted(found) if each.parent.suffix != UNFINISHED]


def keep(folder: Path, count: int) -> list[str]:
    """Delete all but the newest `count`, what was left unfinished before the newest, and files that
    no backup names any more. Returns the names of what went."""
    backups = all_in(folder)
    old = [each.place for each in backups[:-count]]
    if backups:
        left = sorted(folder.glob(f"*{UNFINISHED}"))
        old += [each for each in left if each.name < backups[-1].place.name]
    # Before anything goes: a manifest that cannot be read must not cost the files it names.
    named = {path for each in backups[-count:] for path in each.manifest["files"]}
    for place in old:
        shutil.rmtree(place)
    if old:
        _drop_files(folder / FILES, named)
    return [each.name for each in old]


def restore(backup: Backup, *, with_files: bool = True) -> int:
    """Put it into the database and the storage of this service; how many files. The database must
    hold no tables. Raises BackupFailed."""
    told = backup.manifest
    if told["engine"] != connection.vendor:
        raise BackupFailed(f"This is a backup of {told['engine']}, not of {connection.vendor}.")
    database = backup.place / told["database"]["name"]
    if not database.is_file() or _told(database)["sha256"] != told["database"]["sha256"]:
        raise BackupFailed(f"{database} is missing or not what was written.")
    if connection.introspection.table_names():
        raise BackupFailed("The database is not empty: name another, or remove this one first.")
    # Files first: a database whose files are missing would be served as if all were well.
    count = _restore_files(backup, told["files"]) if with_files else 0
    if connection.vendor == "sqlite":
        _sqlite_back(database)
    else:
        _postgresql_back(database)
    return count


def _applied() -> set[tuple[str, str]]:
    return set(MigrationExecutor(connection).loader.applied_migrations)


def _sqlite(place: Path) -> Path:
    target = place / "database.sqlite3"
    source = sqlite3.connect(f"{_sqlite_file().absolute().as_uri()}?mode=ro", uri=True, timeout=20)
    # All pages in one step: it reads one point in time, and in WAL mode hinders nobody who writes.
    with closing(source), closing(sqlite3.connect(target)) as copy:
        source.backup(copy)
        copy.execute("PRAGMA journal_mode=DELETE")  # one file, without its log beside it
    _to_disk(target)
    return target


def _sqlite_file() -> Path:
    file = Path(str(connection.settings_dict["NAME"]))
    if not file.is_file():
        raise BackupFailed(f"There is no database at {file}.")
    return file


def _sqlite_back(database: Path) -> None:
    connection.ensure_connection()
    with closing(sqlite3.connect(f"{database.absolute().as_uri()}?mode=ro", uri=True)) as source:
        source.backup(connection.connection)
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA journal_mode=WAL")


def _postgresql(place: Path) -> Path:
    target = place / "database.dump"
    # Of its own, so that roles and rights of another server do not matter.
    _run("pg_dump", "--format=custom", "--no-owner", "--no-acl", f"--file={target}")
    _to_disk(target)
    return target


def _postgresql_back(database: Path) -> None:
    words = ("--no-owner", "--no-acl", "--single-transaction", "--exit-on-error")
    _run("pg_restore", *words, f"--dbname={direct_place()['dbname']}", str(database))


def _run(program: str, *words: str) -> None:
    found = shutil.which(program)
    if not found:
        raise BackupFailed(f"{program} is missing: install the client programs of PostgreSQL.")
    place = direct_place()
    names = {"host": "PGHOST", "port": "PGPORT", "user": "PGUSER", "dbname": "PGDATABASE"}
    names |= {
        "password": "PGPASSWORD",
        "sslmode": "PGSSLMODE",
    }  # not among the words: others see them
    told = {names[key]: str(value) for key, value in place.items()}
    done = subprocess.run(  # noqa: S603 - a program of the database, with words of our own
        [found, *words], env={**os.environ, **told}, capture_output=True, text=True, check=False
    )
    if done.returncode:
        raise BackupFailed(f"{program}: {done.stderr.strip()}")


def _known(folder: Path) -> Listed:
    """What earlier backups say of files: they do not change, so nothing is read twice."""
    newest = all_in(folder)[-1:]
    return dict(newest[0].manifest["files"]) if newest else {}


def _copy_files(into: Path, known: Listed) -> Listed:
    """Copy what is not there yet; all that is in the storage."""
    listed: Listed = {}
    for path in _stored(""):
        there = into / path
        if path in known and there.is_file() and there.stat().st_size == known[path]["size"]:
            listed[path] = known[path]
            continue
        with suppress(FileNotFoundError), default_storage.open(path) as file:  # gone since listed
            listed[path] = _copy(file, there)
    return listed


def _stored(folder: str) -> Iterator[str]:
    try:
        folders, files = default_storage.listdir(folder)
    except FileNotFoundError:
        return
    for name in sorted(files):
        yield f"{folder}{name}"
    for name in sorted(folders):
        if f"{folder}{name}" not in NOT_TAKEN:
            yield from _stored(f"{folder}{name}/")


def _copy(file: File[Any], target: Path) -> dict[str, Any]:
    target.parent.mkdir(parents=True, exist_ok=True)
    half = target.with_name(target.name + UNFINISHED)
    with half.open("wb") as copy:
        told = _read(file, copy)
        copy.flush()
        os.fsync(copy.fileno())
    half.rename(target)
    return told


def _told(file: Path) -> dict[str, Any]:
    with file.open("rb") as read:
        return _read(read)


def _read(file: Any, copy: IO[bytes] | None = None) -> dict[str, Any]:
    digest, size = hashlib.sha256(), 0
    while part := file.read(_CHUNK):
        digest.update(part)
        size += len(part)
        if copy:
            copy.write(part)
    return {"size": size, "sha256": digest.hexdigest()}


def _restore_files(backup: Backup, files: Listed) -> int:
    for path, told in files.items():
        kept = backup.files / path
        if not kept.is_file() or _told(kept)["sha256"] != told["sha256"]:
            raise BackupFailed(f"{kept} is missing or not what was written.")
        if default_storage.exists(path):
            with default_storage.open(path) as file:
                if _read(file)["sha256"] == told["sha256"]:
                    continue
            raise BackupFailed(f"The storage holds another {path} already.")
        with kept.open("rb") as file:
            written = default_storage.save(path, File(file))
        if written != path:
            raise BackupFailed(f"The storage does not take {path} under its name.")
    return len(files)


def _drop_files(folder: Path, named: set[str]) -> None:
    for file in folder.rglob("*"):
        if file.is_file() and str(file.relative_to(folder)) not in named:
            file.unlink()


def _write(path: Path, data: bytes) -> None:
    path.write_bytes(data)
    _to_disk(path)


def _to_disk(path: Path) -> None:
    with path.open("rb") as file:
        os.fsync(file.fileno())
