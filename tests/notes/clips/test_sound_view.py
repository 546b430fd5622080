"""The sound of a clip is served in parts, to members only (RFC 9110, section 14)."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
from asgiref.sync import async_to_sync
from django.core.files.storage import default_storage
from django.db import connection
from django.test import AsyncClient, Client
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from notes.clips.ranges import Unsatisfiable, requested_bytes
from notes.clips.storage import path_of
from notes.models import Clip
from tests.support.sounds import bring_clip, wav
from tests.support.world import World

DATA = wav(0.5)
SIZE = len(DATA)


@pytest.fixture(autouse=True)
def own_storage(settings: Any, tmp_path: Path) -> None:
    settings.MEDIA_ROOT = tmp_path / "media"


@pytest.fixture
def clip(world: World) -> Clip:
    return bring_clip(world, DATA, title="Chorus, “louder”")


def url(clip: Clip, copy: str = "original") -> str:
    return reverse("notes:clip_sound", args=[clip.production_id, clip.pk, copy])


def get(client: Client, at: str, **headers: str) -> Any:
    return client.get(
        at, headers={name.replace("_", "-"): value for name, value in headers.items()}
    )


def body(response: Any) -> bytes:
    return b"".join(response.streaming_content) if response.streaming else response.content


def test_the_whole_file(world: World, client: Client, clip: Clip) -> None:
    client.force_login(world.people["crew"])
    response = get(client, url(clip), accept_encoding="gzip")
    assert response.status_code == 200
    assert body(response) == DATA
    assert response["Content-Length"] == str(SIZE)
    assert response["Content-Type"] == "audio/wav"
    assert response["Accept-Ranges"] == "bytes"
    assert response["ETag"] == f'"{clip.sound.sha256}"'
    assert response["Cache-Control"].startswith("private, max-age=")
    assert response["X-Content-Type-Options"] == "nosniff"
    assert "Content-Encoding" not in response
    assert response["Content-Disposition"] == 'inline; filename="chorus-louder.wav"'


@pytest.mark.parametrize(
    ("wanted", "first", "end"),
    [
        ("bytes=0-0", 0, 1),
        ("bytes=0-", 0, SIZE),
        ("bytes=100-199", 100, 200),
        ("bytes=-100", SIZE - 100, SIZE),
        (f"bytes={SIZE - 1}-", SIZE - 1, SIZE),
        ("bytes=5-999999999999999999999999", 5, SIZE),
        ("bytes=-99999999999", 0, SIZE),
        ("Bytes = 3 - 4", 3, 5),
    ],
)
def test_a_part(
    world: World, client: Client, clip: Clip, wanted: str, first: int, end: int
) -> None:
    client.force_login(world.tech)
    response = get(client, url(clip), range=wanted)
    assert response.status_code == 206
    assert body(response) == DATA[first:end]
    assert response["Content-Range"] == f"bytes {first}-{end - 1}/{SIZE}"
    assert response["Content-Length"] == str(end - first)


@pytest.mark.parametrize(
    "ignored",
    ["bytes=", "bytes=-", "bytes=9-3", "bytes=a-b", "lines=1-2", "bytes=0-1,5-9", "bytes=١-٢"],
)
def test_what_is_no_range_is_ignored(
    world: World, client: Client, clip: Clip, ignored: str
) -> None:
    client.force_login(world.tech)
    response = get(client, url(clip), range=ignored)
    assert (response.status_code, body(response)) == (200, DATA)


@pytest.mark.parametrize("beyond", [f"bytes={SIZE}-", "bytes=-0", f"bytes={SIZE + 5}-{SIZE + 9}"])
def test_a_part_that_there_is_none_of(
    world: World, client: Client, clip: Clip, beyond: str
) -> None:
    client.force_login(world.tech)
    response = get(client, url(clip), range=beyond)
    assert response.status_code == 416
    assert response["Content-Range"] == f"bytes */{SIZE}"
    assert body(response) == b""


def test_what_changed_meanwhile_is_sent_whole(world: World, client: Client, clip: Clip) -> None:
    client.force_login(world.tech)
    etag = f'"{clip.sound.sha256}"'
    same = get(client, url(clip), range="bytes=0-9", if_range=etag)
    assert same.status_code == 206
    body(same)
    for other in ('"0123"', f"W/{etag}", "Wed, 25 Nov 2026 11:00:00 GMT"):
        response = get(client, url(clip), range="bytes=0-9", if_range=other)
        assert (response.status_code, body(response)) == (200, DATA)
    assert get(client, url(clip), if_none_match=etag).status_code == 304
    assert get(client, url(clip), if_match='"0123"').status_code == 412


def test_head_has_no_body_and_no_parts(world: World, client: Client, clip: Clip) -> None:
    client.force_login(world.tech)
    response = client.head(url(clip), headers={"range": "bytes=0-9"})
    assert (response.status_code, response["Content-Length"]) == (200, str(SIZE))
    assert body(response) == b""
    assert client.post(url(clip)).status_code == 405


def test_copies_and_strangers(world: World, client: Client, clip: Clip) -> None:
    assert client.get(url(clip)).status_code == 302  # to the log-in
    client.force_login(world.outsider)
    assert client.get(url(clip)).status_code == 404
    client.force_login(world.people["manager"])
    types = {"working": "audio/flac", "preview": "audio/mp4"}
    for copy, content_type in types.items():
        response = client.get(url(clip, copy))
        assert (response.status_code, response["Content-Type"]) == (200, content_type)
        body(response)
    assert client.get(url(clip, "other")).status_code == 404
    default_storage.delete(path_of(clip.preview))
    assert client.get(url(clip, "preview")).status_code == 404


@given(st.text(max_size=40), st.integers(0, 1000))
def test_no_header_breaks_it(header: str, size: int) -> None:
    try:
        part = requested_bytes(header, size)
    except Unsatisfiable:
        return
    if part is not None:
        first, end = part
        assert 0 <= first < end <= size


@pytest.mark.django_db(transaction=True)
def test_an_asynchronous_server_streams_it_too(
    world: World, clip: Clip, async_client: AsyncClient
) -> None:
    async def fetch(**headers: str) -> tuple[int, bool, bytes]:
        response: Any = await async_client.get(url(clip), headers=headers)
        pieces = [piece async for piece in response.streaming_content]
        return response.status_code, response.is_async, b"".join(pieces)

    def ask(**headers: str) -> tuple[int, bool, bytes]:
        try:
            return async_to_sync(fetch)(**headers)
        finally:
            connection.close()

    async_client.force_login(world.tech)
    # In a thread of its own: where browser tests ran before, this one has an event loop already.
    with ThreadPoolExecutor(1) as apart:
        assert apart.submit(ask).result() == (200, True, DATA)
        assert apart.submit(ask, range="bytes=10-19").result() == (206, True, DATA[10:20])
