"""Check that versions of mixes follow one on the other, and sign-offs are what was sealed."""

from __future__ import annotations

from collections.abc import Iterator
from uuid import UUID

from notes.models import MixSignOff, MixVersion
from notes.monitors.signing import seal_of
from notes.monitors.state import MixState, digest_of


def broken_mixes(production: UUID | None = None) -> Iterator[str]:
    """What is wrong, in words. Nothing if all hold."""
    versions = MixVersion.objects.select_related("mix__production").order_by("mix", "number")
    sign_offs = MixSignOff.objects.select_related("mix__production", "version").order_by("at", "pk")
    if production:
        versions = versions.filter(mix__production=production)
        sign_offs = sign_offs.filter(mix__production=production)
    before: MixVersion | None = None
    for version in versions.iterator():
        if before is not None and before.mix_id != version.mix_id:
            before = None
        if wrong := _wrong(version, before):
            yield f"{version.mix.production} · {version}: {wrong}."
        before = version
    for made in sign_offs.iterator():
        if made.seal != seal_of(made) or made.version_digest != made.version.digest:
            yield (
                f"{made.mix.production} · {made.mix}: the sign-off {made.pk} by {made.name} is not "
                "what was written."
            )


def _wrong(version: MixVersion, before: MixVersion | None) -> str:
    if version.number != (before.number + 1 if before else 1):
        return "the version before it is missing"
    state = MixState.from_plain(version.state)
    previous = before.digest if before else ""
    if version.digest != digest_of(str(version.mix_id), version.number, state, previous):
        return "is not what was written: its digest does not match its content"
    return ""
