"""Whoever posts to the address of what is shared changes nothing, whatever they post.

Nothing outside to compare with: every table and every stored file, before and after.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from django.apps import apps
from django.conf import settings
from django.contrib.sessions.models import Session
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from core.models import LogIn, Upload
from core.uploads.pieces import append, begin
from tests.rigs.photos.pictures import encoded, two_tone
from tests.support.world import World

TARGET = "/incoming/shared/"
ELSEWHERE = {"origin": "https://elsewhere.example", "sec-fetch-site": "cross-site"}
# Any request that is looked at says that the log-in is used.
OF_THE_VISIT = {LogIn, Session}


def everything() -> dict[str, list[Any]]:
    return {
        model._meta.label: sorted(map(repr, model._default_manager.values_list()))
        for model in apps.get_models(include_auto_created=True)
        if model not in OF_THE_VISIT and model._meta.managed
    }


def files() -> set[Path]:
    return {path for path in Path(settings.MEDIA_ROOT).rglob("*") if path.is_file()}


def upload_of(world: World) -> Upload:
    """One that a form could name."""
    upload = begin(
        user=world.tech,
        production=world.production,
        key="0123456789",
        name="take.wav",
        content_type="audio/wav",
        size=10,
    )
    return append(upload, offset=0, data=b"0123456789")


def posted(client: Client, more: dict[str, Any]) -> Any:
    photo = SimpleUploadedFile("knobs.png", encoded(two_tone(), "PNG"), "image/png")
    fields = {"title": "", "text": "<b>Win</b> a prize", "files": photo}
    return client.post(TARGET, fields | more, headers=ELSEWHERE)


@pytest.mark.parametrize("who", ["nobody", "tech"])
def test_another_sites_form_writes_nothing(world: World, who: str) -> None:
    upload = upload_of(world)
    client = Client(enforce_csrf_checks=True)
    if who != "nobody":
        client.force_login(world.people[who])
    tricks = {"request_key": str(uuid4()), "uploaded_file": f"files {upload.pk}"}
    before, stored = everything(), files()
    response = posted(client, tricks)
    assert response.status_code == 200
    assert "Share it once more" in response.content.decode()
    assert everything() == before
    assert files() == stored


def test_nothing_of_what_was_posted_is_shown(world: World) -> None:
    response = posted(Client(), {})
    assert b"prize" not in response.content
    assert b"knobs" not in response.content
    assert "no-store" in response.headers["Cache-Control"]


def test_a_key_in_the_header_is_not_claimed(world: World) -> None:
    """No form of another site can send it; a program could."""
    client = Client()
    client.force_login(world.tech)
    before = everything()
    headers = {"idempotency-key": '"0123456789"', "accept": "application/json"}
    assert client.post(TARGET, {"text": "x"}, headers=headers).status_code == 200
    assert everything() == before


def test_opened_by_hand_it_leads_to_what_waits(world: World) -> None:
    response = Client().get(TARGET)
    assert (response.status_code, response.headers["Location"]) == (302, "/incoming/")
