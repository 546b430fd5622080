"""The seal of a sign-off: a digest over everything it says, so that tampering shows."""

from __future__ import annotations

from typing import Any

from core.personal.commitments import committed_in
from core.personal.fields import stored
from notes.models import SignOff
from rigs.changes import chain
from rigs.revisions.writer import iso

# From 2 on, name and words are references to salted commitments.
FORMAT = 2


def seal_of(sign_off: SignOff) -> str:
    """SHA-256, in hex, over the canonical JSON (RFC 8785) of the sign-off's content."""
    return chain.digest(content_of(sign_off))


def content_of(sign_off: SignOff) -> dict[str, Any]:
    """What is sealed: who said what about which exact revision, and when (ISO 8601, UTC).

    A clip that was signed along is sealed by the SHA-256 of its lossless copy.
    """
    name = stored(sign_off, "name")
    content: dict[str, Any] = {
        "format": 1 if committed_in(name) is None else FORMAT,
        "id": str(sign_off.pk),
        "rig": str(sign_off.rig_id),
        "number": sign_off.revision.number,
        "revision": sign_off.revision_digest,
        "party": str(sign_off.party),
        "decision": str(sign_off.decision),
        "words": stored(sign_off, "words"),
        "player": str(sign_off.player_id) if sign_off.player_id else None,
        "user": str(sign_off.user_id) if sign_off.user_id else None,
        "name": name,
        "at": iso(sign_off.at),
    }
    if sign_off.clip is not None:
        # Only where there is one, so that seals from before clips hold.
        content["clip"] = {"id": str(sign_off.clip.pk), "sound": sign_off.clip.working}
    return content
