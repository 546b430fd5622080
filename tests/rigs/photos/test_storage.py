"""Photos are kept once, under what they are, and looked after."""

from __future__ import annotations

import hashlib
from typing import Any

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import InMemoryStorage, default_storage

from rigs.models import StoredPhoto
from rigs.photos.prepare import Prepared
from rigs.photos.storage import broken_photos, open_file, path_of, store
from tests.support.world import World, make_world

PICTURE = Prepared(b"a picture", b"a thumb", 80, 40)
SHA = hashlib.sha256(b"a picture").hexdigest()


@pytest.fixture(autouse=True)
def own_folder(settings: Any, tmp_path: Any) -> None:
    settings.MEDIA_ROOT = tmp_path


def kept(world: World, picture: Prepared = PICTURE) -> StoredPhoto:
    return store(picture, production=world.production, taken_by=world.tech)


def test_a_photo_is_kept_under_its_hash(world: World) -> None:
    photo = kept(world)
    assert (photo.sha256, photo.width, photo.height, photo.bytes) == (SHA, 80, 40, 9)
    assert path_of(SHA) == f"photos/{SHA[:2]}/{SHA}.webp"
    assert default_storage.open(path_of(SHA)).read() == b"a picture"


def test_the_same_photo_is_kept_once(world: World, tmp_path: Any) -> None:
    assert kept(world) == kept(world)
    assert StoredPhoto.objects.count() == 1
    assert len([p for p in tmp_path.rglob("*") if p.is_file()]) == 2


def test_productions_share_the_file_but_not_the_record(world: World) -> None:
    other = make_world("Elsewhere")
    assert kept(world) != kept(other)
    assert StoredPhoto.objects.count() == 2


def test_a_file_that_a_crash_cut_short_is_written_again(world: World, tmp_path: Any) -> None:
    kept(world)
    (tmp_path / path_of(SHA)).write_bytes(b"a pic")
    kept(world)
    assert (tmp_path / path_of(SHA)).read_bytes() == b"a picture"


def test_two_who_write_the_same_leave_one_file(
    world: World, tmp_path: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    default_storage.save(path_of(SHA), ContentFile(b"a picture"))
    answers = iter([False])  # asked before the other one had written; then the truth
    really = default_storage.exists
    monkeypatch.setattr(
        default_storage, "exists", lambda name: next(answers, really(name)), raising=False
    )
    kept(world)
    assert [p.name for p in (tmp_path / "photos" / SHA[:2]).iterdir()] == [f"{SHA}.webp"]


def test_a_storage_without_folders_will_do(world: World, monkeypatch: pytest.MonkeyPatch) -> None:
    memory = InMemoryStorage()
    for module in ("rigs.photos.storage", "core.stored_files"):
        monkeypatch.setattr(f"{module}.default_storage", memory)
    photo = kept(world)
    file, sha256 = open_file(photo, thumb=True)
    assert (file.read(), sha256) == (b"a thumb", photo.thumb_sha256)
    assert list(broken_photos()) == []


def test_a_changed_or_missing_file_is_found(world: World, tmp_path: Any) -> None:
    photo = kept(world)
    (tmp_path / path_of(SHA)).write_bytes(b"A picture")
    (tmp_path / path_of(photo.thumb_sha256)).unlink()
    assert [(b.photo, b.path, b.problem) for b in broken_photos()] == [
        (photo, path_of(SHA), "the file is not what was stored"),
        (photo, path_of(photo.thumb_sha256), "the file is missing"),
    ]


def test_only_the_production_that_was_asked_about_is_checked(world: World, tmp_path: Any) -> None:
    kept(world)
    (tmp_path / path_of(SHA)).unlink()
    assert list(broken_photos(make_world("Elsewhere").production)) == []
    assert len(list(broken_photos(world.production))) == 1
