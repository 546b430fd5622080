"""Digests that chain each revision to its parent. Pure.

digest = SHA-256 over the canonical JSON (RFC 8785) of the revision's content, which names the
parent's digest. Key frames are whole snapshots, kept compressed.
"""

from __future__ import annotations

import hashlib
import json
import zlib
from collections.abc import Iterable
from typing import Any, cast

import rfc8785

from rigs.changes.edits import Change, Snapshot

FORMAT = 1
NO_PARENT = "0" * 64


def canonical(value: Any) -> bytes:
    """RFC 8785 canonical JSON, UTF-8."""
    return rfc8785.dumps(value)


def sha256(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def digest(content: dict[str, Any]) -> str:
    return sha256(canonical(content))


def content_of(
    *,
    rig: str,
    number: int,
    parent: str,
    author: dict[str, str | None],
    at: str,
    reason: dict[str, Any],
    restored: int | None,
    changes: Iterable[Change],
    written: str | None = None,
    device_said: str | None = None,
) -> dict[str, Any]:
    """What a revision's digest is taken over. Moments are ISO 8601 in UTC with microseconds.

    `written` and `device_said` are left out where there are none, so that older digests hold.
    """
    times = {"written": written, "device_said": device_said}
    # The order of edits says nothing, and rows come back from a database in their own order.
    rows = sorted(changes, key=lambda change: (change.part, change.field))
    return {
        "format": FORMAT,
        "rig": rig,
        "number": number,
        "parent": parent,
        "author": author,
        "at": at,
        "reason": reason,
        "restored": restored,
        "changes": [list(row) for row in rows],
        **{name: moment for name, moment in times.items() if moment is not None},
    }


def pack(snapshot: Snapshot) -> bytes:
    """A snapshot as a compressed key frame; the same snapshot gives the same bytes."""
    # The level is part of the format: with another one the same snapshot would give other bytes.
    return zlib.compress(canonical(snapshot), 6)


def unpack(body: bytes) -> Snapshot:
    """The snapshot of a key frame. Raises ValueError if the bytes are damaged."""
    try:
        return cast(Snapshot, json.loads(zlib.decompress(body)))
    except (zlib.error, ValueError) as error:
        raise ValueError(f"the stored whole state is damaged ({error})") from None
