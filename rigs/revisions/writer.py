"""Put a plan into the tables. Called by the gateway, with the rig's row locked."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime
from typing import TYPE_CHECKING
from uuid import UUID

from django.db import models

from core.moments import written
from core.personal.opening import Reference
from core.personal.store import keep
from core.proof import entries
from core.proof.shape import SEPARATOR
from rigs.changes import chain
from rigs.changes.edits import WHOLE, Change
from rigs.changes.reasons import Reason
from rigs.models import PARTS, ChangeRow, KeyFrame, Part, Revision, Rig
from rigs.models.parts import columns, gateway
from rigs.revisions import rows
from rigs.revisions.plan import Plan, build
from rigs.revisions.read import live

if TYPE_CHECKING:
    from core.models import User

# A whole state is kept at the first revision and every so many after it: often enough that reading
# any revision replays few changes, seldom enough that it costs little (docs/measurements.md).
KEY_FRAME_EVERY = 32


def insert_empty(rig: Rig) -> None:
    """Insert the row of a new rig, before its first revision can point at it."""
    with gateway():
        rig.save(force_insert=True)


def write(rig: Rig, plan: Plan, author: User, reason: Reason, restored: int | None) -> Revision:
    """Write the planned changes as one revision: its row, the parts, the changes, a key frame."""
    revision = _insert_revision(rig, plan.changes, author, reason, restored)
    # Saving a tracked row anywhere else raises (rigs/models/parts.py).
    with gateway():
        _write_parts(rig, plan, revision)
    rows.insert(
        ChangeRow,
        [
            ChangeRow(
                revision_id=revision.pk,
                part=change.part,
                kind=change.kind,
                field=change.field,
                old_json=chain.canonical(change.old).decode(),
                new_json=chain.canonical(change.new).decode(),
            )
            for change in plan.changes
        ],
    )
    # Revision 1, 33, 65 …: the first is among them, so that every walk has a state to begin with.
    if (revision.number - 1) % KEY_FRAME_EVERY == 0:
        store_whole(rig, revision)
    return revision


def _insert_revision(
    rig: Rig, changes: Iterable[Change], author: User, reason: Reason, restored: int | None
) -> Revision:
    moment = written()
    # `at` is the server's clock; when a device says that it was written stands beside it
    # (core/moments.py).
    at = moment.arrived_at or moment.at
    written_at = moment.at if moment.arrived_at and not moment.device_said else None
    name, words = kept(rig.production_id, author, reason.words)
    content = chain.content_of(
        rig=str(rig.pk),
        number=rig.head_number + 1,
        parent=rig.head_digest,
        author={"id": str(author.pk), "name": name},
        at=iso(at),
        reason={**reason.as_content(), "words": words},
        restored=restored,
        changes=changes,
        written=iso_if(written_at),
        device_said=iso_if(moment.device_said),
    )
    revision = Revision(
        rig=rig,
        number=rig.head_number + 1,
        author=author,
        author_name=name,
        at=at,
        written_at=written_at,
        device_said=moment.device_said,
        reason_kind=reason.kind,
        reason_words=words,
        reason_notes=chain.canonical([str(note) for note in reason.notes]).decode(),
        restored=restored,
        parent_digest=rig.head_digest,
        digest=chain.digest(content),
    )
    rows.insert(Revision, [revision])
    key = f"{rig.pk}{SEPARATOR}{revision.number}"
    entries.note_sealed(Revision, rig.production_id, key, revision.digest)
    return revision


def kept(production: UUID, author: User, words: str) -> tuple[Reference, Reference]:
    """What refers to the name and the words of `author`, which are kept apart from history."""
    name = keep(production, author.name, "name", person=author.pk)
    return Reference(name), Reference(keep(production, words, "words", person=author.pk))


def iso(at: datetime) -> str:
    """A moment as digests spell it: ISO 8601 in UTC with microseconds."""
    return at.astimezone(UTC).isoformat(timespec="microseconds")


def iso_if(at: datetime | None) -> str | None:
    return None if at is None else iso(at)


def _write_parts(rig: Rig, plan: Plan, revision: Revision) -> None:
    by_part: dict[str, list[Change]] = {}
    for change in plan.changes:
        by_part.setdefault(change.part, []).append(change)
    # PARTS lists what is pointed at before what points at it: a control needs its unit in the
    # table.
    order = list(PARTS)
    for part, changes in sorted(by_part.items(), key=lambda item: order.index(item[1][0].kind)):
        _write_part(rig, plan, part, changes)
    rows.update(Rig, rig.pk, {"head_number": revision.number, "head_digest": revision.digest})


def _write_part(rig: Rig, plan: Plan, part: str, changes: list[Change]) -> None:
    model = PARTS[changes[0].kind]
    first = changes[0]
    if first.field == WHOLE and first.new is None:
        # Retired rows stay: history and other records go on pointing at them.
        rows.update(model, part, {"retired": True})
    elif first.field == WHOLE and isinstance(first.new, dict):
        row = build(model, rig, part, first.new)
        # A part that was retired and comes back has its row still; only what is new is inserted.
        if part not in plan.rows:
            row.save(force_insert=True)
        else:
            values = {c.attname: getattr(row, c.attname) for c in columns(model)}
            if issubclass(model, Part):
                values["retired"] = False
            rows.update(model, part, values)
    else:
        rows.update(model, part, _column_values(model, changes))


def _column_values(model: type[models.Model], changes: list[Change]) -> dict[str, object]:
    known = {c.name: c for c in columns(model)}
    return {
        known[change.field].attname: (
            known[change.field].default if change.new is None else change.new
        )
        for change in changes
    }


def store_whole(rig: Rig, revision: Revision) -> None:
    """Store the whole state as of `revision`, which must be the newest, unless it is there."""
    if KeyFrame.objects.filter(revision=revision).exists():
        return  # before the rig is read and packed: three parties may sign one revision
    body = chain.pack(live(Rig.objects.get(pk=rig.pk)))
    KeyFrame.objects.create(
        revision=revision,
        rig=rig,
        number=revision.number,
        body=body,
        body_sha256=chain.sha256(body),
    )
