"""Killed, out of room, or in each other's way: an export or import leaves nothing half done."""

from __future__ import annotations

import errno
import re
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.core.files.base import ContentFile, File
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command
from django.db import OperationalError

from core.models import Production
from notes.archive.export import written_whole
from notes.archive.files import PATHS, named_by
from notes.archive.load import load
from notes.archive.reader import Archive
from notes.archive.restore import FOLDER, FileRestore
from rigs.models import StoredPhoto

ROOT = Path(__file__).resolve().parents[3]
WRITES = """
import os, resource, signal, sys
from pathlib import Path
from notes.archive import export
if {plain}:
    export._nameless = lambda folder: None
{before}
with export.written_whole(Path(sys.argv[1])) as file:
    file.write(b"x" * 100_000)
    file.flush()
    {then}
"""


def run(target: Path, *, plain: bool = False, before: str = "", then: str = "") -> Any:
    code = WRITES.format(plain=plain, before=before, then=then)
    return subprocess.run(
        [sys.executable, "-c", code, str(target)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux has files without a name")
def test_a_process_that_is_killed_leaves_no_file(tmp_path: Path) -> None:
    done = run(tmp_path / "a.zip", then="os.kill(os.getpid(), signal.SIGKILL)")
    assert done.returncode == -signal.SIGKILL
    assert list(tmp_path.iterdir()) == []


def test_elsewhere_what_it_leaves_is_written_over_by_the_next(tmp_path: Path) -> None:
    done = run(tmp_path / "a.zip", plain=True, then="os.kill(os.getpid(), signal.SIGKILL)")
    assert done.returncode == -signal.SIGKILL
    assert not (tmp_path / "a.zip").exists()
    done = run(tmp_path / "a.zip", plain=True)
    assert done.returncode == 0, done.stderr
    assert [each.name for each in tmp_path.iterdir()] == ["a.zip"]
    assert (tmp_path / "a.zip").stat().st_size == 100_000


@pytest.mark.parametrize("plain", [False, True])
def test_where_there_is_no_room_there_is_no_file(tmp_path: Path, plain: bool) -> None:
    limit = (
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN);"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (50_000, 50_000))"
    )
    done = run(tmp_path / "a.zip", plain=plain, before=limit)
    assert done.returncode == 1
    assert "File too large" in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_what_somebody_wrote_meanwhile_stays(tmp_path: Path) -> None:
    target = tmp_path / "a.zip"

    def write() -> None:
        with written_whole(target) as file:
            file.write(b"ours")
            target.write_bytes(b"theirs")

    with pytest.raises(FileExistsError):
        write()
    assert target.read_bytes() == b"theirs"
    assert list(tmp_path.iterdir()) == [target]


FULL = r"Nothing was imported\. The storage failed at .+ \(No space left on device\)\."


def stored(tmp_path: Path) -> list[str]:
    return sorted(each.name for each in (tmp_path / "other").rglob("*") if each.is_file())


class Killed(BaseException):
    pass


def test_the_next_import_takes_away_what_a_killed_one_brought(
    archived: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as patched:
        # Killed after its last file and before the rows were kept: nobody could tidy up.
        patched.setattr(FileRestore, "__exit__", lambda *_: None)
        restore = FileRestore.restore

        def die(self: FileRestore) -> None:
            restore(self)
            raise Killed

        patched.setattr(FileRestore, "restore", die)
        with pytest.raises(Killed):
            load(archived)
    assert not Production.objects.exists()
    left = stored(tmp_path)
    assert len(left) > 2
    half = next(each for each in left if each.endswith(".webp"))
    (path,) = (tmp_path / "other").rglob(half)
    path.write_bytes(path.read_bytes()[:100])

    found = load(archived)
    assert path.stat().st_size > 100
    named = sorted(Path(PATHS[folder](sha256)).name for folder, sha256 in named_by(found))
    assert stored(tmp_path) == named
    call_command("verify")


def test_of_another_production_too_but_not_what_is_named(archived: Path, tmp_path: Path) -> None:
    orphan = ("photos", "0" * 64)
    default_storage.save(PATHS[orphan[0]](orphan[1]), ContentFile(b"nobody's"))
    default_storage.save(f"{FOLDER}/half.json", ContentFile(b'[["photos", "0'))
    load(archived)
    photo = StoredPhoto.objects.all()[0]
    listed = f'[["photos", "{orphan[1]}"], ["photos", "{photo.sha256}"]]'
    default_storage.save(f"{FOLDER}/dead.json", ContentFile(listed.encode()))
    with pytest.raises(CommandError, match="on this server already"):
        call_command("import", str(archived))
    assert default_storage.exists(PATHS["photos"](photo.sha256))
    assert "half.json" not in stored(tmp_path)


@pytest.mark.parametrize("after", [0, 1, 3])
def test_a_storage_without_room_keeps_nothing(
    archived: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, after: int
) -> None:
    saved: list[str] = []
    save = default_storage.save

    def full(name: str, content: Any) -> str:
        if len(saved) == after:
            save(name, ContentFile(b"half of it"))
            raise OSError(errno.ENOSPC, "No space left on device")
        saved.append(save(name, content))
        return saved[-1]

    monkeypatch.setattr(default_storage, "save", full)
    with pytest.raises(CommandError, match=FULL):
        call_command("import", str(archived))
    assert not Production.objects.exists()
    assert stored(tmp_path) == []


class OwnError(Exception):
    """What a storage on another machine raises, which is no OSError."""


@pytest.mark.parametrize("error", [OSError(errno.EIO, "Input/output error"), OwnError("timed out")])
def test_a_storage_that_fails_reading_half_way_keeps_nothing_new(
    archived: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, error: Exception
) -> None:
    """The last file is there already and is read to see whether it is whole. It stays: another
    production may name it."""
    with Archive(archived) as archive:
        files = list(archive.files())
        name, folder, sha256 = files[-1]
        path = PATHS[folder](sha256)
        default_storage.save(path, ContentFile(b"".join(archive.read(name))))
    before = stored(tmp_path)
    opened = default_storage.open

    class HalfReadable(File):  # type: ignore[type-arg]  # Django's has no parameter when it runs
        def chunks(self, chunk_size: int | None = None) -> Iterator[bytes]:
            yield b"the first half"
            raise error

    def open_file(asked: str, mode: str = "rb") -> Any:
        file = opened(asked, mode)
        return HalfReadable(file) if asked == path else file

    monkeypatch.setattr(default_storage, "open", open_file)
    why = error.strerror if isinstance(error, OSError) else str(error)
    words = re.escape(f"Nothing was imported. The storage failed at {path} ({why}).")
    with pytest.raises(CommandError, match=words):
        call_command("import", str(archived))
    assert len(files) > 2
    assert not Production.objects.exists()
    assert not StoredPhoto.objects.exists()
    assert stored(tmp_path) == before == [Path(path).name]


def test_a_database_without_room_is_not_the_archives_fault(
    archived: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: Any, **__: Any) -> None:
        raise OperationalError("database or disk is full")

    monkeypatch.setattr("django.db.models.QuerySet.bulk_create", full)
    with pytest.raises(CommandError, match=r"Nothing was imported\. records/.*disk is full"):
        call_command("import", str(archived))
    assert not Production.objects.exists()
    assert stored(tmp_path) == []
