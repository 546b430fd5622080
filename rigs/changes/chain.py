"""Digests that chain each revision to its parent. Pure.

A digest is the SHA-256 of the canonical JSON (RFC 8785) of a revision's content, which includes
the digest of its parent. A key frame is a whole snapshot, stored compressed.
"""

from __future__ import annotations

import hashlib
import json
import zlib
from collections.abc import Iterable
from typing import Any, cast

import rfc8785

from rigs.changes.edits import Change, Snapshot

# Part of the content of every revision, so that a digest says by which rules it was made: from 2 on
# the author's name and the words of the reason are references to salted commitments.
FORMAT = 2
# The parent of a first revision: as long as a real digest, so that the column needs no null.
NO_PARENT = "0" * 64


def canonical(value: Any) -> bytes:
    """The canonical JSON (RFC 8785) of a value, as UTF-8 bytes."""
    return rfc8785.dumps(value)


def sha256(data: bytes) -> str:
    """The SHA-256 of some bytes, as 64 hexadecimal digits."""
    return hashlib.sha256(data).hexdigest()


def digest(content: dict[str, Any]) -> str:
    """The digest of a revision's content, which `content_of` makes."""
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
    format: int = FORMAT,
) -> dict[str, Any]:
    """The content of a revision, over which its digest is taken.

    Moments are ISO 8601 in UTC with microseconds.

    `written` and `device_said` are left out where there are none, so that older digests hold.
    """
    times = {"written": written, "device_said": device_said}
    # The order of edits says nothing, and rows come back from a database in their own order.
    rows = sorted(changes, key=lambda change: (change.part, change.field))
    return {
        "format": format,
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
