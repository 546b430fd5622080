"""A published handover, or sections of it, for somebody without an account."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any
from uuid import UUID

from django.utils.translation import gettext as _

from core.access.guest import Opened
from core.models import Production
from core.places import Shared
from core.routes import address_of
from notes.handover.progress import parts_of
from notes.handover.publish import read
from notes.models import PublishedHandover

Plain = dict[str, Any]
PICTURE = Opened(passes=frozenset({"size"}), file=True)


def shared(production: Production, kind: str, subject: UUID, parts: Sequence[str]) -> Shared | None:
    """It stays as it was published. Two queries."""
    if kind != "handover":
        return None
    rows = PublishedHandover.objects.filter(production=production)
    published = rows.select_related("handover__leg").filter(pk=subject).first()
    if published is None:
        return None
    content = read(published)
    sections = {each["key"]: each for each in content["sections"]}
    titles = [(part.key, str(part.title)) for part in parts_of(published)]
    start = address_of("notes:published", production.pk, published.pk)
    opens = {start: Opened(passes=frozenset({"long", "for"}))}
    for key, section in sections.items():
        if not parts or key in parts:
            opens |= dict.fromkeys(_files(production, section), PICTURE)
    title = _("Handover {number}, {leg}").format(
        number=published.number, leg=published.handover.leg
    )
    return Shared("handover", title, start, opens, published.handover.leg.ends_on, titles)


def _files(production: Production, section: Plain) -> Iterator[str]:
    """The photos of its rigs, and the photos and memos of the notes that it quotes."""
    for rig in section["rigs"]:
        for photo in rig.get("photos", ()):
            yield address_of("rigs:photo_file", production.pk, UUID(rig["id"]), UUID(photo["id"]))
        for note in _notes(rig):
            for photo in note.get("photos", ()):
                yield address_of("notes:note_photo_file", production.pk, UUID(photo["id"]))
            if memo := note.get("memo"):
                yield address_of("notes:note_memo_sound", production.pk, UUID(memo["id"]))


def _notes(found: Any) -> Iterator[Plain]:
    """Whatever in `found` has words, and photos or a memo with them."""
    if isinstance(found, dict):
        if "words" in found and ("photos" in found or "memo" in found):
            yield found
        for each in found.values():
            yield from _notes(each)
    elif isinstance(found, list):
        for each in found:
            yield from _notes(each)
