"""Photos of notes beyond the pages of notes: handovers, paper, archives, devices, programs."""

from __future__ import annotations

import hashlib
from datetime import date
from pathlib import Path
from typing import Any

import pypdfium2
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from PIL import Image

from core.models import Leg, Production
from notes.archive.load import load
from notes.archive.writer import export
from notes.handover.print import handover_pdf
from notes.handover.publish import publish, read
from notes.handover.said import since
from notes.handover.state import note_data
from notes.handover.verify import broken_handovers
from notes.journal.services import settle
from notes.models import NotePhoto
from notes.photos.services import add_photos, remove_photo
from notes.queries import notes_of
from rigs.paper.pdf import Paper
from rigs.photos.storage import open_file
from tests.notes.archive.test_round_trip import forget
from tests.notes.photos.support import address, with_photo
from tests.rigs.photos.pictures import BLUE, RED, encoded
from tests.support.api import api
from tests.support.everything import picture
from tests.support.listening import hear
from tests.support.world import World


@pytest.fixture(autouse=True)
def own_folder(settings: Any, tmp_path: Any) -> None:
    settings.MEDIA_ROOT = tmp_path / "media"


@pytest.fixture
def leg(world: World) -> Leg:
    return Leg.objects.create(
        production=world.production,
        name="Leg",
        starts_on=date(2026, 9, 1),
        ends_on=date(2026, 9, 30),
    )


def test_a_handover_holds_them_and_shows_them_when_they_are_removed(
    client: Client, world: World, leg: Leg
) -> None:
    photo = with_photo(world)
    made = publish(leg=leg, by=world.engineer)
    (rig,) = (rig for each in read(made)["sections"] for rig in each["rigs"])
    assert rig["open_notes"][0]["photos"] == [
        {
            "id": str(photo.pk),
            "image": str(photo.image_id),
            "sha256": photo.image.sha256,
            "caption": "Fret 12",
            "alternative": "Fret 12",
            "width": 320,
            "height": 240,
        }
    ]
    remove_photo(photo, by=world.engineer)
    client.force_login(world.people["crew"])
    file = address(world, "note_photo_file", photo.pk)
    assert f"{file}?size=thumb" in client.get(f"{made.get_absolute_url()}?long").content.decode()
    assert client.get(file).status_code == 200
    copy = reverse("notes:handover", args=[world.production.pk, leg.pk])
    assert file not in client.get(f"{copy}?long").content.decode()
    assert not [*broken_handovers(world.production.pk)]


def test_what_is_new_since_names_photos_that_an_open_note_got_or_lost(
    client: Client, world: World, leg: Leg
) -> None:
    photo = with_photo(world)
    made = publish(leg=leg, by=world.engineer)
    add_photos(photo.note, [picture("teal"), picture("olive")], caption="Bridge", by=world.tech)
    remove_photo(photo, by=world.engineer)
    with_photo(world, "Of a new note", "navy")  # told with its note, and not twice
    client.force_login(world.people["crew"])
    response = client.get(made.get_absolute_url())
    told = since(made)
    assert told is not None
    (section,) = told["sections"]
    ((changed,), new) = section["photos"], section["notes"]
    assert [each["caption"] for each in changed["photos"]] == ["Bridge", "Bridge"]
    assert changed["photo_changes"] == "2 photos added, 1 photo removed"
    assert len(new) == 1
    page = response.content.decode()
    assert page.count("Photos of notes that were open before") == 1
    assert "2 photos added, 1 photo removed" in page
    for each in changed["photos"]:
        assert f"{address(world, 'note_photo_file', each['id'])}?size=thumb" in page


def test_the_short_handover_counts_what_it_leaves_out(
    client: Client, world: World, leg: Leg
) -> None:
    photo = with_photo(world)
    made = publish(leg=leg, by=world.engineer)
    client.force_login(world.people["crew"])
    page = client.get(made.get_absolute_url()).content.decode()
    assert address(world, "note_photo_file", photo.pk) not in page
    assert "1 photo" in page


def test_a_section_without_photos_keeps_its_digest(world: World) -> None:
    """Readers who have read it are not asked to read it again."""
    assert "photos" not in note_data(notes_of(world.production).get(pk=hear(world).pk))


def test_a_printed_handover_has_them_with_the_words_of_the_note(world: World, leg: Leg) -> None:
    with_photo(world)
    made = publish(leg=leg, by=world.engineer)
    pages = pypdfium2.PdfDocument(handover_pdf(made, address="https://x", paper=Paper.A4))
    text = " ".join(" ".join(p.get_textpage().get_text_range().split()) for p in pages)
    assert "Fret 12 with the note “Too boomy.”" in text
    found = (o for page in pages for o in page.get_objects(max_depth=5))
    assert any(isinstance(each, pypdfium2.PdfImage) for each in found)


def test_an_archive_carries_them_byte_for_byte(world: World, tmp_path: Path) -> None:
    photo = with_photo(world)
    remove_photo(with_photo(world, "Gone", "teal"), by=world.engineer)
    export(world.production, tmp_path / "a.zip")
    rows = list(NotePhoto.objects.order_by("pk").values())
    before = _bytes_of(photo)
    forget()
    load(tmp_path / "a.zip")
    assert list(NotePhoto.objects.order_by("pk").values()) == rows
    assert _bytes_of(NotePhoto.objects.get(pk=photo.pk)) == before
    export(Production.objects.get(), tmp_path / "b.zip")
    assert (tmp_path / "b.zip").read_bytes() == (tmp_path / "a.zip").read_bytes()


def _bytes_of(photo: NotePhoto) -> bytes:
    stored, _ = open_file(photo.image)
    with stored:
        return stored.read()


def test_a_device_keeps_the_whole_photos_of_open_notes(
    client: Client, world: World, leg: Leg
) -> None:
    client.force_login(world.people["crew"])
    photo, settled = with_photo(world), with_photo(world, "Settled")
    settle(note=settled.note, words="The room.", by=world.engineer)
    kept = client.get(reverse("notes:handover_keep", args=[world.production.pk, leg.pk])).json()
    assert kept["files"] == [address(world, "note_photo_file", photo.pk)]


def file(colour: Any) -> SimpleUploadedFile:
    return SimpleUploadedFile("a.jpg", encoded(Image.new("RGB", (90, 60), colour)), "image/jpeg")


def test_programs_read_and_add_them(world: World) -> None:
    note, tech = hear(world), api(world.tech)
    url = reverse("api-note-photos", args=[note.pk])
    refused = tech.post(url, {"photos": SimpleUploadedFile("a.jpg", b"no")}, format="multipart")
    assert refused.status_code == 422
    for code in (201, 200):
        sent = {"photos": [file(RED), file(BLUE)], "photo_caption": "Two"}
        answer = tech.post(url, sent, format="multipart")
        assert answer.status_code == code
    told = tech.get(reverse("api-note", args=[note.pk])).json()["photos"]
    assert told == answer.json()
    shown = [(each["caption"], each["width"], each["height"]) for each in told]
    assert shown == [("Two", 90, 60)] * 2


def test_the_picture_that_programs_get_is_the_one_that_is_named(world: World) -> None:
    photo = with_photo(world)
    url = reverse("api-note-photo-file", args=[photo.pk])
    found = api(world.people["crew"]).get(url)
    body = b"".join(found.streaming_content)  # type: ignore[attr-defined]
    assert hashlib.sha256(body).hexdigest() == photo.image.sha256
    assert api(world.outsider).get(url).status_code == 404
    add = reverse("api-note-photos", args=[photo.note_id])
    answer = api(world.people["crew"]).post(add, {"photos": file(RED)}, format="multipart")
    assert answer.status_code == 403
