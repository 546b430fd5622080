"""Check that every sign-off is what was sealed, and sealed what the rig's history holds."""

from __future__ import annotations

from collections.abc import Iterator
from uuid import UUID

from notes.models import SignOff
from notes.signing.seal import seal_of


def broken_sign_offs(production: UUID | str | None = None) -> Iterator[str]:
    """What is wrong, in words, one sign-off after the other. Nothing if all hold."""
    rows = SignOff.objects.select_related("rig__production", "revision", "clip").order_by(
        "at", "pk"
    )
    if production:
        rows = rows.filter(rig__production=UUID(str(production)))
    for sign_off in rows.iterator():
        wrong = _wrong(sign_off)
        if wrong:
            where = f"{sign_off.rig.production} · {sign_off.rig}"
            yield f"{where}: the sign-off {sign_off.pk} by {sign_off.name} {wrong}."


def _wrong(sign_off: SignOff) -> str:
    # The seal first: where it fails, nothing else that the row says can be relied on.
    if seal_of(sign_off) != sign_off.seal:
        return "is not what was written: its seal does not match its content"
    if sign_off.revision.rig_id != sign_off.rig_id:
        return "speaks of a change of another rig"
    if sign_off.revision.digest != sign_off.revision_digest:
        return f"accepted another change {sign_off.revision.number} than the one on file"
    return ""
