"""manage.py verify names what is not as it was written, and goes on where it was stopped."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import pytest
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command
from django.db import connection

from core.models import Production
from notes.management.commands import verify as command
from notes.models import SignOff
from notes.signing.services import sign
from rigs.models import Photo, StoredPhoto
from rigs.photos.storage import path_of
from tests.rigs.revisions.test_verify import let_writes_through
from tests.support.everything import fill
from tests.support.world import World, make_world


def verify(**options: Any) -> str:
    out = io.StringIO()
    call_command("verify", stdout=out, **options)
    return out.getvalue()


@pytest.fixture
def full(world: World) -> World:
    fill(world)
    world.rig.refresh_from_db()
    sign(
        rig=world.rig,
        party="engineer",
        decision="signed",
        user=world.engineer,
        revision=world.rig.head_number,
    )
    return world


def test_an_untouched_production_verifies(full: World) -> None:
    assert "6 changes of 1 rigs walked." in verify()
    assert "Everything is as it was written." in verify(production=str(full.production.pk))


def test_a_changed_rig_is_named(full: World) -> None:
    with connection.cursor() as cursor:
        cursor.execute("UPDATE rigs_unit SET name = 'Other' WHERE name = 'Head'")
    with pytest.raises(CommandError, match=r"The Long Quiet · Bass main .* without a record: unit"):
        verify()


def test_a_changed_sign_off_is_named(full: World) -> None:
    let_writes_through()
    SignOff.objects.update(words="I never said that.")
    # The missing triggers are the first break; put back, the sign-off is.
    with pytest.raises(CommandError, match="trigger .* is missing"):
        verify()
    call_command("migrate", verbosity=0)
    with pytest.raises(CommandError, match="its seal does not match its content"):
        verify()


def test_a_changed_photo_is_named(full: World) -> None:
    stored = StoredPhoto.objects.get(uses__in=Photo.objects.all())
    path = path_of(stored.sha256)
    with default_storage.open(path) as file:
        data = file.read()
    default_storage.delete(path)
    with default_storage.open(path, "wb") as file:
        file.write(data[:-1] + b"x")
    try:
        with pytest.raises(CommandError, match="the file is not what was stored"):
            verify()
    finally:
        default_storage.delete(path)


def test_all_that_is_broken_is_named(full: World) -> None:
    make_world("Another")
    with connection.cursor() as cursor:
        cursor.execute("UPDATE rigs_unit SET name = 'Other' WHERE name = 'Head'")
    with pytest.raises(CommandError) as caught:
        verify()
    assert [line.partition(" · ")[0] for line in sorted(str(caught.value).splitlines())] == [
        "Another",
        "The Long Quiet",
    ]


def test_it_goes_on_where_it_was_stopped(
    full: World, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    make_world("Another")
    progress, looked = tmp_path / "progress", []

    def stopped(production: Production, *_: object, **__: object) -> tuple[int, int, list[str]]:
        if looked:
            raise KeyboardInterrupt
        looked.append(production)
        return 7, 70, ["Something is broken."]

    monkeypatch.setattr(command, "walked", stopped)
    with pytest.raises(KeyboardInterrupt):
        verify(progress=progress)
    progress.write_text(progress.read_text() + '{"production": "cut sh')
    monkeypatch.setattr(
        command, "walked", lambda each, *_, **__: (looked.append(each), (1, 2, []))[1]
    )
    with pytest.raises(CommandError, match="Something is broken"):  # of the first run, too
        verify(progress=progress)
    assert len(looked) == len(set(looked)) == 2
    assert not progress.exists()


def test_an_unknown_production_is_said(db: None) -> None:
    with pytest.raises(CommandError, match="There is no production 77"):
        verify(production="77")
