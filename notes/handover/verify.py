"""Check that published handovers are what was published, and follow one on the other."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any
from uuid import UUID

from notes.handover.content import SCHEMAS, outline_of, rigs_of
from notes.models import PublishedHandover
from rigs.changes.chain import canonical, sha256
from rigs.models import Revision
from rigs.revisions.writer import iso

Plain = dict[str, Any]


def broken_handovers(production: UUID | None = None) -> Iterator[str]:
    """What is wrong, in words, in the order of publishing. Nothing if all hold."""
    rows = PublishedHandover.objects.select_related("production", "handover", "previous")
    if production:
        rows = rows.filter(production=production)
    before: PublishedHandover | None = None
    for published in rows.order_by("production", "number").iterator():
        # Numbers begin anew in each production.
        if before is not None and before.production_id != published.production_id:
            before = None
        wrong = _follows(published, before) or _wrong(published)
        if wrong:
            yield f"{published.production} · {published}: {wrong}."
        before = published


def _follows(published: PublishedHandover, before: PublishedHandover | None) -> str:
    expected = before.number + 1 if before else 1
    if published.number != expected:
        return f"handover {expected} is missing"
    if published.previous_id != (before.pk if before else None):
        return "does not follow the one before it"
    return ""


def _wrong(published: PublishedHandover) -> str:
    # The digest first: after it the content may be trusted to be what was published, and only its
    # agreement with the columns is left to check.
    if sha256(published.content.encode()) != published.digest:
        return "is not what was published: its digest does not match its content"
    try:
        content: Plain = json.loads(published.content)
        if content["schema"] not in SCHEMAS or canonical(content).decode() != published.content:
            return "is not written as published handovers are"
        return _disagrees(published, content) or _misquotes(content)
    except (ValueError, KeyError, TypeError):
        return "cannot be read"


def _disagrees(published: PublishedHandover, content: Plain) -> str:
    """Which of the columns, which repeat the content, says something else; empty if none does."""
    before = published.previous
    if content["previous"] != (before.digest if before else None):
        return "names another handover before it than the one on file"
    in_content = (
        content["number"],
        content["at"],
        content["by"]["id"],
        content["leg"]["id"],
        content["production"]["id"],
    )
    in_columns = (
        published.number,
        iso(published.published_at),
        str(published.published_by_id),
        str(published.handover.leg_id),
        str(published.production_id),
    )
    if in_content != in_columns:
        return "number, time, author or leg on file are not those it was published with"
    if canonical(outline_of(content)).decode() != published.outline:
        return "the list of its sections is not that of its content"
    return ""


def _misquotes(content: Plain) -> str:
    """Which rig is not at a revision of its history with that digest; empty if all are."""
    rigs = rigs_of(content)
    rows = Revision.objects.filter(rig__in=[rig["id"] for rig in rigs]).filter(
        digest__in=[rig["digest"] for rig in rigs]
    )
    known = {
        (str(rig), number): digest
        for rig, number, digest in rows.values_list("rig", "number", "digest")
    }
    for rig in rigs:
        if known.get((rig["id"], rig["revision"])) != rig["digest"]:
            return f"“{rig['name']}” was not at the change {rig['revision']} on file"
    return ""
