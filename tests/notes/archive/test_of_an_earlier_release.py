"""What an earlier release wrote is read: its archive, and its database.

`data/` holds both, written by the release of 28 November 2026 (before moments of writing, fixed
numbers of listeners and earlier figures of clips) from the same rows as `full.py` makes, packed
with xz. They are never made anew: a release that cannot read them loses a crew's notebook.
`schema4.zip` is an archive of the release of 29 November 2026 with three published handovers of
schema 4, whose figures and changes are in words.
"""

from __future__ import annotations

import json
import lzma
import re
import zipfile
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command
from django.test import Client
from django.urls import reverse
from pypdfium2 import PdfDocument

from core.models import Membership, Production
from core.models.roles import Role
from core.tables import name_of
from notes.archive.load import load
from notes.archive.provenance import summary
from notes.archive.tables import ADDED_LATER, tables
from notes.archive.writer import export
from notes.handover.print import handover_pdf
from notes.models import Clip, PublishedHandover
from rigs.models import Rig
from rigs.paper.pdf import Paper
from tests.notes.archive.test_between_databases import manage

DATA = Path(__file__).parent / "data"
# A release without a log wrote none; it begins with what came in.
LOG = {"core.logentry", "core.logsalt", "core.checkpoint"}
# The tables that came after each archive.
LATER = {"earlier.zip": ADDED_LATER, "schema4.zip": ADDED_LATER - {"notes.notephoto"}}


@pytest.fixture(params=["earlier.zip", "schema4.zip"])
def earlier(request: pytest.FixtureRequest, tmp_path: Path, settings: Any) -> Path:
    settings.MEDIA_ROOT = tmp_path / "media"
    return unpacked(request.param, tmp_path)


def unpacked(name: str, folder: Path) -> Path:
    target = folder / name
    target.write_bytes(lzma.decompress((DATA / f"{name}.xz").read_bytes()))
    return target


def rows_in(path: Path) -> dict[str, int]:
    """How many of each table, but for the log."""
    with zipfile.ZipFile(path) as archive:
        members = [name for name in archive.namelist() if name.startswith("records/")]
        found = {name[8:-5]: len(json.loads(archive.read(name))) for name in members}
    return {name: count for name, count in found.items() if name not in LOG}


@pytest.mark.django_db
def test_its_archive_comes_in_whole_and_goes_out_again(earlier: Path, tmp_path: Path) -> None:
    production = load(earlier)
    told = rows_in(earlier)
    names = {name_of(model): model for model in tables()}
    here = {name: names[name]._default_manager.count() for name in names.keys() - LOG}
    assert {name: told.get(name, 0) for name in here} == here
    later = LATER[earlier.name]
    assert set(names) - set(told) - LOG == later - LOG
    call_command("verify")
    export(production, tmp_path / "again.zip")
    assert rows_in(tmp_path / "again.zip") == dict.fromkeys(later - LOG, 0) | told


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
def test_a_handover_of_schema_4_is_read_and_printed_as_it_was_published(
    tmp_path: Path, settings: Any, client: Client
) -> None:
    settings.MEDIA_ROOT = tmp_path / "media"
    production = load(unpacked("schema4.zip", tmp_path))
    client.force_login(Membership.objects.filter(role=Role.ENGINEER)[0].user)
    newest = PublishedHandover.objects.latest("number")
    assert json.loads(newest.content)["schema"] == 4
    address = newest.get_absolute_url()
    whole, brief = (words_on(client, address + query) for query in ("?long", ""))
    told = "Distance: was 35 mm (1.4 in) now 50 mm (2 in)"
    for said in (told, "speaker impedance: 16 Ω", "Preamp gain 28 dB", "Head, Gain 4:00"):
        assert said in whole, said
    assert told in brief
    compared = reverse("notes:published_compare", args=[production.pk, newest.pk])
    for said in (told, "Speaker impedance: was 8 Ω now 16 Ω"):
        assert said in words_on(client, compared), said
    pdf = PdfDocument(handover_pdf(newest, address="http://127.0.0.1/", paper=Paper.A4))
    on_paper = " ".join(" ".join(p.get_textpage().get_text_range() for p in pdf).split())
    assert "Distance: 35 mm (1.4 in) → 50 mm (2 in)" in on_paper
    assert "The fret buzz" in on_paper  # a photo of a note, published without its size


def words_on(client: Client, address: str) -> str:
    html = client.get(address).content.decode()
    return " ".join(re.sub(r"<[^>]+>", " ", html).split())


@pytest.mark.django_db
def test_its_database_is_brought_up_to_date(tmp_path: Path, settings: Any) -> None:
    settings.MEDIA_ROOT = tmp_path / "media"
    server = tmp_path / "server"
    server.mkdir()
    unpacked("earlier.sqlite3", tmp_path).rename(server / "toneledger.sqlite3")
    load(unpacked("earlier.zip", tmp_path))  # for the photos and sounds that belong to both
    (tmp_path / "media").rename(server / "media")
    manage(server, "migrate", "-v0")
    manage(server, "checkpoint")
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
