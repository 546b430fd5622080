"""A form that names uploads is the same form as the one that brings the bytes."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from core.models import DoneRequest, Upload
from core.uploads.pieces import PIECE_LEAST
from notes.models import Clip, StoredSound
from rigs.models import ListImport, Photo
from tests.core.uploads.senders import append, begin, send
from tests.rigs.photos.pictures import encoded, two_tone
from tests.support.pages import as_user, at
from tests.support.sounds import wav
from tests.support.world import World, make_world

PICTURES = [encoded(two_tone(80 + n, 40), "PNG") for n in range(3)]
SOUND = wav(2)  # 192 kB


@pytest.fixture(autouse=True)
def media(settings: Any, tmp_path: Path) -> None:
    settings.MEDIA_ROOT = tmp_path / "media"


@pytest.fixture
def client(world: World) -> Client:
    return as_user(world.tech)


def photos_url(world: World) -> str:
    return at(world, "rigs:photo_new", world.rig.pk)


def post(client: Client, url: str, fields: dict[str, Any], key: str = "") -> Any:
    headers = {"Accept": "application/json"}
    if key:
        headers["Idempotency-Key"] = f'"{key}"'
    return client.post(url, fields, headers=headers)


def uploaded(client: Client, world: World, files: list[bytes], field: str = "photos") -> list[str]:
    sent = [
        send(client, world, data, uuid4().hex, name=f"{n}.png", type="image/png")
        for n, data in enumerate(files)
    ]
    return [f"{field} {upload}" for upload in sent]


def whole(files: list[bytes]) -> list[SimpleUploadedFile]:
    return [SimpleUploadedFile(f"{n}.png", data, "image/png") for n, data in enumerate(files)]


def test_photos_that_came_in_pieces_are_in(world: World, client: Client) -> None:
    fields = {"caption": "From above", "uploaded_file": uploaded(client, world, PICTURES)}
    assert client.post(photos_url(world), fields).status_code == 302
    assert [photo.caption for photo in Photo.objects.all()] == ["From above"] * 3
    assert not Upload.objects.filter(used_at=None).exists()


@pytest.mark.parametrize("pieces_first", [True, False])
def test_it_is_the_same_request_as_the_whole_form(
    world: World, client: Client, pieces_first: bool
) -> None:
    """Sent whole after its pieces' answer was lost, or the other way round: carried out once."""
    forms = [
        {"caption": "One", "uploaded_file": uploaded(client, world, PICTURES)},
        {"caption": "One", "photos": whole(PICTURES)},
    ]
    answers = [
        post(client, photos_url(world), form, "the-same-key")
        for form in (forms if pieces_first else forms[::-1])
    ]
    assert [answer.status_code for answer in answers] == [200, 200]
    assert answers[0].json()["location"] == answers[1].json()["location"]
    assert (Photo.objects.count(), DoneRequest.objects.count()) == (3, 1)


def test_other_files_under_the_same_key_are_another_request(world: World, client: Client) -> None:
    for files, status in ((PICTURES, 200), (PICTURES[::-1], 422), (PICTURES[:2], 422)):
        form = {"uploaded_file": uploaded(client, world, files)}
        answer = post(client, photos_url(world), form, "the-same-key")
        assert answer.status_code == status, files


def test_a_form_that_comes_back_may_be_sent_again_without_the_bytes(
    world: World, client: Client
) -> None:
    form = {"uploaded_file": uploaded(client, world, PICTURES), "caption": "x" * 300}
    assert client.post(photos_url(world), form).status_code == 200
    assert client.post(photos_url(world), form | {"caption": ""}).status_code == 302
    assert Photo.objects.count() == 3


def test_a_sound_on_disk_and_a_list_in_memory(world: World, client: Client, settings: Any) -> None:
    """Forms that know nothing of pieces."""
    settings.FILE_UPLOAD_MAX_MEMORY_SIZE = 1000
    sound = send(client, world, SOUND, name="Low D.wav")
    form = {"input": str(world.input.pk), "uploaded_file": f"file {sound}"}
    page = client.post(at(world, "notes:clip_new", world.rig.pk), form)
    assert page.status_code == 302, page.content.decode()
    clip = Clip.objects.get()
    assert (str(clip), clip.sound.bytes) == ("Low D", len(SOUND))
    rows = b"Channel,Name,Player\n9,Bass mic,Ines Halloran\n"
    rows += b"".join(b"%d,Line %d,Ines Halloran\n" % (n, n) for n in range(10, 60))
    sent = send(client, world, rows, "a-key-of-a-list", name="list.csv", type="text/csv")
    url, names = import_form(client, world)
    assert client.post(url, {names: "", "uploaded_file": f"{names} {sent}"}).status_code == 302
    assert ListImport.objects.count() == 1


def import_form(client: Client, world: World) -> tuple[str, str]:
    url = at(world, "rigs:list_import_new")
    (field,) = re.findall(r'<input type="file" name="(\w+)"', client.get(url).content.decode())
    return url, field


def test_what_is_not_whole_or_not_there_is_refused(world: World, client: Client) -> None:
    begin(client, world, SOUND)
    append(client, world, 0, SOUND[:PIECE_LEAST])
    half = Upload.objects.get().pk
    theirs = uploaded(as_user(world.engineer), world, PICTURES[:1])[0]
    elsewhere = make_world("Elsewhere")
    elsewhere.production.memberships.create(user=world.tech, role="tech")
    other_place = uploaded(client, elsewhere, PICTURES[:1])[0]
    for named in (f"photos {half}", f"photos {uuid4()}", theirs, other_place):
        answer = post(client, photos_url(world), {"uploaded_file": named})
        assert (answer.status_code, answer.json()["code"]) == (410, "upload_gone")
    for named in ("photos", "photos 7", ""):
        answer = post(client, photos_url(world), {"uploaded_file": named})
        assert (answer.status_code, answer.json()["code"]) == (400, "unreadable")
    assert not Photo.objects.exists()


def test_who_is_logged_out_is_told_so(world: World, client: Client) -> None:
    form = {"uploaded_file": uploaded(client, world, PICTURES)}
    assert post(Client(), photos_url(world), form, "the-same-key").status_code == 401
    assert Client().post(photos_url(world), form).status_code == 302


def test_all_files_of_a_form_are_no_more_than_the_largest_form_takes(
    world: World, client: Client, settings: Any
) -> None:
    settings.UPLOAD_MAX_BYTES = settings.CLIP_MAX_BYTES = len(SOUND)
    parts = [send(client, world, SOUND, key) for key in ("a-key-of-one", "a-key-of-two")]
    named = [f"other {parts[0]}", f"file {parts[1]}"]
    form = {"input": str(world.input.pk), "uploaded_file": named}
    page = client.post(at(world, "notes:clip_new", world.rig.pk), form)
    assert "is the most a sound may have" in page.content.decode()
    assert not StoredSound.objects.exists()


def test_a_fixed_number_of_queries_whatever_the_number_of_pieces(
    world: World, client: Client
) -> None:
    def queries(seconds: int) -> int:
        upload = send(client, world, wav(seconds), uuid4().hex)
        form = {"uploaded_file": f"unknown {upload}", "caption": "x"}
        with CaptureQueriesContext(connection) as found:
            client.post(photos_url(world), form)
        return len(found)

    queries(1)
    assert queries(1) == queries(4)
