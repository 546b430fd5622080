"""A handover, published or as it stands, or sections of it, for somebody without an account."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any
from uuid import UUID

from django.utils.translation import gettext as _

from core.access.guest import Opened
from core.kept.shelf import Shelf
from core.models import Leg, Production
from core.places import Shared
from core.routes import address_of
from notes.handover.content import outline_of
from notes.handover.progress import PublishedSection, parts_from, parts_of
from notes.handover.publish import read
from notes.handover.said import copy_content
from notes.models import OF_LINE_CHECKS, PublishedHandover

Plain = dict[str, Any]
PICTURE = Opened(passes=frozenset({"size"}), file=True)


def shared(production: Production, kind: str, subject: UUID, parts: Sequence[str]) -> Shared | None:
    """Three queries for each; what they show is looked for once (core.kept)."""
    if kind == "handover":
        return _published(production, subject, parts)
    return _copy(production, subject, parts) if kind == "handover-copy" else None


def _published(production: Production, subject: UUID, parts: Sequence[str]) -> Shared | None:
    rows = PublishedHandover.objects.filter(production=production)
    published = rows.select_related("handover__leg").filter(pk=subject).first()
    if published is None:
        return None
    leg = published.handover.leg
    title = _("Handover {number}, {leg}").format(number=published.number, leg=leg)
    start = address_of("notes:published", production.pk, published.pk)
    files = Shelf(production.pk, without=OF_LINE_CHECKS).get(
        "handover files",
        [published.pk, published.digest],
        lambda: _files_of(production, read(published)),
        lasting=True,
    )
    opens = _opens(start, files, parts)
    return Shared("handover", title, start, opens, leg.ends_on, _titles(parts_of(published)))


def _copy(production: Production, subject: UUID, parts: Sequence[str]) -> Shared | None:
    legs = production.legs.filter(retired_at=None).select_related("production")
    leg = legs.filter(pk=subject).first()
    if leg is None:
        return None
    shelf = Shelf(production.pk, without=OF_LINE_CHECKS)
    there = shelf.get("handover copy files", [leg.pk], lambda: _copy_files(shelf, leg))
    title = _("Handover as it stands, {leg}").format(leg=leg)
    start = address_of("notes:handover", production.pk, leg.pk)
    opens, titles = _opens(start, there["files"], parts), _titles(parts_from(there["outline"]))
    return Shared("handover", title, start, opens, leg.ends_on, titles)


def _copy_files(shelf: Shelf, leg: Leg) -> Plain:
    content = copy_content(shelf, leg)
    return {"files": _files_of(leg.production, content), "outline": outline_of(content)}


def _titles(parts: list[PublishedSection]) -> list[tuple[str, str]]:
    return [(part.key, str(part.title)) for part in parts]


def _files_of(production: Production, content: Plain) -> dict[str, list[str]]:
    """The addresses of the files that each section shows, by its key."""
    return {each["key"]: list(_files(production, each)) for each in content["sections"]}


def _opens(
    start: str, files: Mapping[str, Sequence[str]], parts: Sequence[str]
) -> dict[str, Opened]:
    """The page, and what its sections show; of `parts` alone, where there are any."""
    opens = {start: Opened(passes=frozenset({"long", "for"}))}
    for section, addresses in files.items():
        if not parts or section in parts:
            opens |= dict.fromkeys(addresses, PICTURE)
    return opens


def _files(production: Production, section: Plain) -> Iterator[str]:
    """The photos of its rigs, and the photos and memos of the notes that it quotes."""
    for rig in section["rigs"]:
        for photo in rig.get("photos", ()):
            yield address_of("rigs:photo_file", production.pk, UUID(rig["id"]), UUID(photo["id"]))
        for note in _notes(rig):
            for photo in note.get("photos", ()):
                yield address_of("notes:note_photo_file", production.pk, UUID(photo["id"]))
            if memo := note.get("memo"):
                for name in ("notes:note_memo_sound", "notes:note_memo_instead"):
                    yield address_of(name, production.pk, UUID(memo["id"]))


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
