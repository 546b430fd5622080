"""A stored sound or photo that cannot be read is said so at the place, whatever is wrong with it:
no address is an error of the service, and no archive is written by half.

The kinds of failure are those a disc and a file system have (POSIX open and read: ENOENT, EACCES,
EISDIR, EIO; from memory), and what a copy that was broken off leaves.
"""

from __future__ import annotations

import errno
import html
import os
import re
from collections.abc import Callable
from decimal import Decimal
from io import StringIO
from pathlib import Path
from typing import Any
from uuid import uuid4

import numpy as np
import pytest
from django.core.cache import cache
from django.core.exceptions import ValidationError
from django.core.files.base import File
from django.core.files.storage import FileSystemStorage, default_storage
from django.core.management import CommandError, call_command
from django.test import Client

from core import stored_files
from core.stored_files import StoredFileUnreadable, open_stored
from notes.archive.writer import MissingFile, _read
from notes.blind.services import open_blind
from notes.clips.samples import blocks
from notes.clips.services import make_clip
from notes.clips.storage import COPIES, broken_clips, path_of
from notes.models import BlindTrial, Clip, StoredSound
from rigs.changes.edits import Add
from rigs.models import Input, Photo, StoredPhoto
from rigs.photos import storage as photos
from tests.support.addresses import ROUTES, access_of, address
from tests.support.api import api
from tests.support.everything import arguments_for, fill
from tests.support.pages import as_user, at
from tests.support.sounds import as_file, bring_clip, wav
from tests.support.world import World

Break = Callable[[Path, pytest.MonkeyPatch], None]


def lost(path: Path, _: pytest.MonkeyPatch) -> None:
    path.unlink()


def emptied(path: Path, _: pytest.MonkeyPatch) -> None:
    path.write_bytes(b"")


def cut_short(path: Path, _: pytest.MonkeyPatch) -> None:
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])


def damaged(path: Path, _: pytest.MonkeyPatch) -> None:
    """As long as before, with one byte in the middle that is another."""
    data = bytearray(path.read_bytes())
    data[len(data) // 2] ^= 0xFF
    path.write_bytes(data)


def overwritten(path: Path, _: pytest.MonkeyPatch) -> None:
    path.write_bytes(b"no sound at all")


def a_folder(path: Path, _: pytest.MonkeyPatch) -> None:
    path.unlink()
    path.mkdir()


def forbidden(path: Path, patch: pytest.MonkeyPatch) -> None:
    """Tests may run as root, whom no file system forbids anything."""
    opened = FileSystemStorage._open  # type: ignore[attr-defined]

    def refuse(self: Any, name: str, mode: str = "rb") -> Any:
        if name.endswith(path.name) and "r" in mode:
            raise PermissionError(errno.EACCES, "Permission denied")
        return opened(self, name, mode)

    patch.setattr(FileSystemStorage, "_open", refuse)


class Failing(File):  # type: ignore[type-arg]
    def read(self, *_: Any) -> Any:
        raise OSError(errno.EIO, "Input/output error")

    def chunks(self, *_: Any) -> Any:
        return iter(self.read, b"")


def failing(path: Path, patch: pytest.MonkeyPatch) -> None:
    """It opens, and reading it is an input/output error."""
    opened = FileSystemStorage._open  # type: ignore[attr-defined]

    def fail(self: Any, name: str, mode: str = "rb") -> Any:
        file = opened(self, name, mode)
        return Failing(file.file, name) if name.endswith(path.name) and "r" in mode else file

    patch.setattr(FileSystemStorage, "_open", fail)


WAYS: dict[Break, str] = {
    lost: "the file is missing",
    emptied: "the file is empty",
    cut_short: "the file is not what was stored",
    damaged: "the file is not what was stored",
    overwritten: "the file is not what was stored",
    a_folder: "the storage failed (Is a directory)",
    forbidden: "the server may not read the file",
    failing: "the storage failed (Input/output error)",
}
every_way = pytest.mark.parametrize("how", WAYS, ids=lambda how: how.__name__)


@pytest.fixture
def full(world: World) -> World:
    fill(world)
    return world


def stored_paths() -> list[Path]:
    """The files of every sound and photo there is."""
    hashes = {sha for clip in Clip.objects.all() for sha in (clip.working, clip.preview)}
    names = {path_of(sha) for sha in hashes | {each.sha256 for each in StoredSound.objects.all()}}
    for photo in StoredPhoto.objects.all():
        names |= {photos.path_of(photo.sha256), photos.path_of(photo.thumb_sha256)}
    return [Path(default_storage.path(name)) for name in sorted(names)]


def break_all(how: Break, patch: pytest.MonkeyPatch) -> None:
    for path in stored_paths():
        how(path, patch)


def test_no_address_is_an_error_of_service(full: World, monkeypatch: pytest.MonkeyPatch) -> None:
    """Every page, download and address of the API is read and sent to with all files lost; those
    that open one are read again with each other kind of failure."""
    StoredSound.objects.update(beginning="")
    Clip.objects.update(method="older")
    known, whole = arguments_for(full), {path: path.read_bytes() for path in stored_paths()}
    opened: list[str] = []
    first_open = FileSystemStorage.open
    monkeypatch.setattr(
        FileSystemStorage,
        "open",
        lambda self, name, mode="rb": opened.append(name) or first_open(self, name, mode),
    )
    client = Client(raise_request_exception=False)
    client.force_login(full.people["engineer"])
    broken, opening = [], []
    break_all(lost, monkeypatch)
    for route, entry in ROUTES.items():
        for ask in (client.get, client.post) if access_of(entry) != "public" else ():
            opened.clear()
            if (status := ask(address(route, known)).status_code) >= 500:
                broken.append(f"lost, {ask.__name__} {route}: {status}")
            if opened and ask == client.get:
                opening.append(route)
    assert sum("/sound/" in route for route in opening) >= 2  # of pages and of the API
    for how in WAYS:
        for path, data in whole.items():
            if path.is_dir():
                path.rmdir()
            path.write_bytes(data)
        with monkeypatch.context() as patch:
            break_all(how, patch)
            for route in opening:
                if (status := client.get(address(route, known)).status_code) >= 500:
                    broken.append(f"{how.__name__}, {route}: {status}")
    assert not broken, "\n".join(broken)


@every_way
def test_every_place_says_what_cannot_be_read(
    full: World, how: Break, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    blind, one = BlindTrial.objects.get(), BlindTrial.objects.get().clip_a
    two = bring_clip(full, wav(2, hz=330), input=second_input(full), name="DI.wav")
    both = [bring_clip(full, wav(2, hz=hz), name=f"{hz}.wav") for hz in (200, 500)]
    Clip.objects.filter(pk=one.pk).update(method="older")
    break_all(how, monkeypatch)
    client = as_user(full.engineer)
    programs = api(full.engineer)
    said = f"cannot be read: {WAYS[how]}."
    of_one = f"The sound “{one}” {said}"

    def shown(name: str, *more: Any, **query: Any) -> tuple[int, str]:
        answer = client.get(at(full, name, *more), query)
        return answer.status_code, html.unescape(answer.content.decode())

    status, page = shown("notes:clip", one.pk)
    assert (status, of_one in page) == (200, True)
    assert 'src="/p/' not in page  # no player that plays nothing
    for copy in COPIES:
        status, page = shown("notes:clip_sound", one.pk, copy)
        assert (status, of_one in page) == (404, True), copy
        answer = programs.get(f"/api/v1/clips/{one.pk}/sound/{copy}/")
        assert (answer.status_code, answer.json()) == (
            404,
            {"code": "not_found", "detail": of_one},
        )
    asked = {"clip": [str(clip.pk) for clip in both]}
    status, page = shown("notes:compare", **asked)
    assert (status, f"The sound “{both[0]}” {said}" in page) == (200, True)
    refused = client.get(at(full, "notes:compare_gains"), asked).json()
    assert refused == {"refused": f"The sound “{both[0]}” {said}"}
    answer = programs.get(f"/api/v1/productions/{full.production.pk}/comparison/", asked)
    assert answer.json()["fields"]["clip"] == [f"The sound “{both[0]}” {said}"]
    status, page = shown("notes:captures", first=one.pk, second=two.pk)
    assert (status, of_one in page) == (200, True)

    status, page = shown("notes:blind_sound", blind.pk, 1, "first")
    assert status == 404
    assert f"The sound of one of the two clips {said}" in page
    assert shown("notes:blind", blind.pk)[0] == 200
    pair = {"trial": blind.trial, "clip_a": both[0], "clip_b": both[1]}
    with pytest.raises(ValidationError, match="cannot be read"):
        open_blind(**pair, rounds=5, listeners=1, by=full.engineer)
    values = {"rig": full.rig, "input": full.input, "seconds": Decimal("0.5")}
    with pytest.raises(ValidationError, match="cannot be read") as cutting:
        make_clip(one.sound, by=full.engineer, **values)
    assert list(cutting.value.message_dict) == ["file"]

    photo = Photo.objects.get()
    for size in ("thumb", "full"):
        status, page = shown("rigs:photo_file", full.rig.pk, photo.pk, size=size)
        assert (status, f"This photo {said}" in page) == (404, True)

    measured = StringIO()
    call_command("measure_clips", stdout=StringIO(), stderr=measured)
    assert of_one in measured.getvalue()
    target = tmp_path / "whole.zip"
    with pytest.raises(CommandError, match=f"Nothing was written. .*{re.escape(said)}"):
        call_command("export", str(full.production.pk), str(target))
    assert not list(tmp_path.glob("*.zip*"))
    assert {each.problem for each in broken_clips()} == {WAYS[how]}


def second_input(world: World) -> Input:
    key = str(uuid4())
    world.record(Add(key, "input", {"name": "Bass DI", "number": 8}))
    return Input.objects.get(pk=key)


@pytest.mark.parametrize("how", [lost, emptied, cut_short, damaged, overwritten, a_folder])
def test_the_same_recording_again_mends_what_is_broken(
    world: World, how: Break, monkeypatch: pytest.MonkeyPatch
) -> None:
    clip = bring_clip(world)
    break_all(how, monkeypatch)
    bring_clip(world, starts_s=Decimal("0.1"))  # another part of the same sound
    with open_stored(path_of(clip.sound.sha256), clip.sound.sha256, "It") as file:
        assert file.read() == wav()


def test_a_file_that_did_not_change_is_read_whole_once_a_day(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    clip = bring_clip(world)
    cache.clear()
    read: list[str] = []
    check = stored_files._check
    monkeypatch.setattr(
        stored_files, "_check", lambda file, sha256: (read.append(sha256), check(file, sha256))
    )
    for _ in range(3):
        open_stored(path_of(clip.working), clip.working, "It").close()
    assert read == [clip.working]
    path = Path(default_storage.path(path_of(clip.working)))
    os.utime(path, (1, 1))
    open_stored(path_of(clip.working), clip.working, "It").close()
    assert read == [clip.working] * 2


def test_an_export_says_whose_error_it_is() -> None:
    """A file that fails after it was checked is no fault of the file that is written."""
    pieces = _read(Failing(None, "x"), "The file sounds/x")
    with pytest.raises(MissingFile, match="The file sounds/x cannot be read: the storage failed"):
        list(pieces)


@pytest.mark.filterwarnings("ignore:Exception ignored from cffi callback")
def test_a_storage_that_fails_half_way_is_no_short_sound(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    clip = bring_clip(world, as_file(np.random.default_rng(1).uniform(-0.5, 0.5, (5 * 48_000, 1))))
    assert sum(len(block) for block in blocks(clip)) == 5 * 48_000
    opened = FileSystemStorage._open  # type: ignore[attr-defined]

    class Later(File):  # type: ignore[type-arg]
        def read(self, *size: int) -> Any:
            if self.file.tell() > 50_000:
                raise OSError(errno.EIO, "Input/output error")
            return self.file.read(*size)

        def readinto(self, buffer: Any) -> int:
            data = self.read(len(buffer))
            buffer[: len(data)] = data
            return len(data)

    monkeypatch.setattr(
        FileSystemStorage,
        "_open",
        lambda self, name, mode="rb": Later(opened(self, name, mode).file, name),
    )
    with pytest.raises(StoredFileUnreadable, match=f"The sound “{clip}” cannot be read"):
        list(blocks(clip))
