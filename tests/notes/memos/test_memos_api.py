"""A note with a voice memo over the API, written once however often it arrives."""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from core.models import DoneRequest
from notes.models import Note, NoteMemo, StoredSound
from tests.support.api import api
from tests.support.sounds import wav
from tests.support.world import World

KEY = '"0f1e2d3c-memo-0001"'


@pytest.fixture(autouse=True)
def own_folder(settings: Any, tmp_path: Path) -> None:
    settings.MEDIA_ROOT = tmp_path


def send(
    world: World, key: str = "", *, data: bytes = b"", kind: str = "multipart", **more: Any
) -> Any:
    sent = {"rig": str(world.rig.pk), "verdict": "adjust", **more}
    if kind == "multipart":
        sent["memo"] = SimpleUploadedFile("memo.wav", data or wav(2.0), "audio/wav")
    headers = {"Idempotency-Key": key} if key else {}
    url = f"/api/v1/productions/{world.production.pk}/notes/"
    return api(world.engineer).post(url, sent, format=kind, headers=headers)


def test_a_memo_comes_with_its_note(world: World) -> None:
    answer = send(world, said_by_player=str(world.player.pk), inputs=[str(world.input.pk)])
    assert answer.status_code == 201
    said = answer.json()
    assert said["memo"]["sha256"] == hashlib.sha256(wav(2.0)).hexdigest()
    assert said["memo"]["seconds"] == 2.0
    assert (said["words"], said["inputs"]) == ("", [str(world.input.pk)])
    assert said["said_by_player"] == str(world.player.pk)


def test_under_one_key_one_note_with_one_memo(world: World) -> None:
    first, again = send(world, KEY), send(world, KEY)
    assert (first.status_code, again.status_code) == (201, 200)
    assert first.json() == again.json()
    assert (Note.objects.count(), NoteMemo.objects.count()) == (1, 1)
    assert send(world).status_code == 201
    assert Note.objects.count() == 2


def test_another_request_under_that_key_is_refused(world: World) -> None:
    send(world, KEY)
    for other in ({"data": wav(1.0)}, {"words": "Too boomy."}):
        answer = send(world, KEY, **other)
        assert (answer.status_code, answer.json()["code"]) == (422, "other_request")
    assert Note.objects.count() == 1


def test_a_refused_note_leaves_its_key_free(world: World) -> None:
    answer = send(world, KEY, data=b"no sound")
    assert answer.status_code == 422
    assert answer.json()["fields"]["memo"][0].startswith("This is not a sound that can be read.")
    assert [row.objects.count() for row in (DoneRequest, Note, StoredSound)] == [0, 0, 0]
    assert send(world, KEY).status_code == 201


def test_a_key_works_for_json_too_and_has_a_form(world: World) -> None:
    for code in (201, 200):
        assert send(world, KEY, kind="json", words="Too boomy.").status_code == code
    assert Note.objects.get().words == "Too boomy."
    answer = send(world, "no quotes", kind="json", words="Too boomy.")
    assert (answer.status_code, answer.json()["code"]) == (400, "bad_key")


def test_each_person_has_keys_of_their_own(world: World) -> None:
    send(world, KEY, kind="json", words="Too boomy.")
    url = f"/api/v1/productions/{world.production.pk}/notes/"
    sent = {"rig": str(world.rig.pk), "verdict": "adjust", "words": "Too boomy."}
    answer = api(world.tech).post(url, sent, headers={"Idempotency-Key": KEY})
    assert answer.status_code == 201
    assert Note.objects.count() == 2
