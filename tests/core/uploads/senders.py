"""What a sender does, for tests: it asks over HTTP, and goes on where the answer says."""

from __future__ import annotations

import hashlib
from base64 import b64encode
from typing import Any

from django.test import Client

from core.uploads.pieces import PIECE_LEAST
from tests.support.pages import at
from tests.support.world import World

KEY = "a-key-of-the-sender"


def place(world: World, key: str = KEY) -> str:
    return at(world, "core:upload", key)


def begin(client: Client, world: World, data: bytes, key: str = KEY, **more: Any) -> Any:
    said = {"name": "take.wav", "type": "audio/wav", "size": len(data)} | more
    return client.post(place(world, key), said)


def digest(data: bytes) -> str:
    return f"sha-256=:{b64encode(hashlib.sha256(data).digest()).decode()}:"


def append(client: Client, world: World, offset: Any, piece: bytes, **more: Any) -> Any:
    headers = {"Upload-Offset": str(offset), **more.pop("headers", {})}
    return client.patch(
        place(world, more.pop("key", KEY)),
        piece,
        content_type="application/partial-upload",
        headers=headers,
    )


def send(client: Client, world: World, data: bytes, key: str = KEY, **more: Any) -> str:
    """The id of the upload, all of it there."""
    begun = begin(client, world, data, key, **more).json()
    for offset in range(begun["offset"], len(data), PIECE_LEAST):
        piece = data[offset : offset + PIECE_LEAST]
        answer = append(client, world, offset, piece, key=key)
        assert answer.status_code == 204, answer.content
    return str(begun["id"])
