"""What an earlier release wrote is read: its archive, and its database.

`data/` holds both, written by the release of 28 November 2026 (before moments of writing, fixed
numbers of listeners and earlier figures of clips) from the same rows as `full.py` makes, packed
with xz. They are never made anew: a release that cannot read them loses a crew's notebook.
"""

from __future__ import annotations

import json
import lzma
import zipfile
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command
from django.test import Client
from django.urls import reverse

from core.models import Membership, Production
from core.models.roles import Role
from notes.archive.load import load
from notes.archive.provenance import summary
from notes.archive.tables import ADDED_LATER, name_of, tables
from notes.archive.writer import export
from notes.models import Clip, PublishedHandover
from rigs.models import Rig
from tests.notes.archive.test_between_databases import manage

DATA = Path(__file__).parent / "data"


@pytest.fixture
def earlier(tmp_path: Path, settings: Any) -> Path:
    settings.MEDIA_ROOT = tmp_path / "media"
    return unpacked("earlier.zip", tmp_path)


def unpacked(name: str, folder: Path) -> Path:
    target = folder / name
    target.write_bytes(lzma.decompress((DATA / f"{name}.xz").read_bytes()))
    return target


def rows_in(path: Path) -> dict[str, int]:
    with zipfile.ZipFile(path) as archive:
        members = [name for name in archive.namelist() if name.startswith("records/")]
        return {name[8:-5]: len(json.loads(archive.read(name))) for name in members}


@pytest.mark.django_db
def test_its_archive_comes_in_whole_and_goes_out_again(earlier: Path, tmp_path: Path) -> None:
    production = load(earlier)
    told = rows_in(earlier)
    here = {name_of(model): model._default_manager.count() for model in tables()}
    assert {name: told.get(name, 0) for name in here} == here
    assert set(here) - set(told) == ADDED_LATER
    call_command("verify")
    export(production, tmp_path / "again.zip")
    assert rows_in(tmp_path / "again.zip") == dict.fromkeys(ADDED_LATER, 0) | told


@pytest.mark.django_db
def test_pages_of_what_came_in_are_to_be_read(earlier: Path, client: Client) -> None:
    production = load(earlier)
    client.force_login(Membership.objects.filter(role=Role.ENGINEER)[0].user)
    rig = Rig.objects.order_by("made_at")[0]
    leg = PublishedHandover.objects.all()[0].handover.leg_id
    for address in (
        reverse("rigs:rig", args=[production.pk, rig.pk]),
        reverse("notes:handover", args=[production.pk, leg]),
        *(reverse("notes:clip", args=[production.pk, clip.pk]) for clip in Clip.objects.all()),
    ):
        assert client.get(address).status_code == 200, address


@pytest.mark.django_db
def test_its_database_is_brought_up_to_date(tmp_path: Path, settings: Any) -> None:
    settings.MEDIA_ROOT = tmp_path / "media"
    server = tmp_path / "server"
    server.mkdir()
    unpacked("earlier.sqlite3", tmp_path).rename(server / "toneledger.sqlite3")
    load(unpacked("earlier.zip", tmp_path))  # for the photos and sounds that belong to both
    (tmp_path / "media").rename(server / "media")
    manage(server, "migrate", "-v0")
    manage(server, "verify")
    of_server, of_archive = tmp_path / "server.zip", tmp_path / "archive.zip"
    (server / "media").rename(tmp_path / "media")
    export(Production.objects.get(), of_archive)
    (tmp_path / "media").rename(server / "media")
    manage(server, "export", str(Production.objects.get().pk), str(of_server))
    assert rows_in(of_server) == rows_in(of_archive)


KEY = b"k" * 32
ONE = (
    b'{"prefix":{"tl":"urn:"},',
    b'"entity":{',
    b'"tl:note/1":{"prov:label":"a note"},',
    b'"tl:rig/1/1":{"tl:sha256":"aa"}',
    b"},",
    b'"used":{',
    b'"_:used1":{"prov:entity":"tl:note/1"}',
    b"}}",
)


def test_neither_order_nor_labels_make_another_document() -> None:
    same = [ONE[0], *ONE[5:7], b"},", ONE[1], ONE[3] + b",", b'"tl:note/1":{}', b"}}"]
    assert summary(same, KEY) == summary(ONE, KEY)


@pytest.mark.parametrize(
    ("old", "new"), [(b"aa", b"ab"), (b"note/1", b"note/2"), (b"used", b"made")]
)
def test_what_differs_is_another_document(old: bytes, new: bytes) -> None:
    assert summary([line.replace(old, new) for line in ONE], KEY) != summary(ONE, KEY)


def test_what_is_told_twice_is_another_document() -> None:
    assert summary([*ONE[:3], ONE[2], *ONE[3:]], KEY) != summary(ONE, KEY)
