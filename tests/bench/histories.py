"""Write long histories for measurements.

The rows are those that the gateway would have written, digests and key frames included, but many in
one statement: a hundred thousand take seconds instead of minutes.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import datetime, timedelta
from typing import NamedTuple

from core.models import User
from rigs.changes import chain
from rigs.changes.diff import apply
from rigs.changes.edits import Change, Snapshot, Value
from rigs.changes.reasons import Reason
from rigs.models import PARTS, ChangeRow, KeyFrame, Revision, Rig
from rigs.models.parts import columns
from rigs.revisions import rows
from rigs.revisions.read import live
from rigs.revisions.writer import KEY_FRAME_EVERY, iso

AT_ONCE = 5000


class Step(NamedTuple):
    """One field of one part becomes another."""

    part: str
    kind: str
    field: str
    value: Value


class History:
    """The growing history of one rig."""

    def __init__(self, rig: Rig, author: User, reason: Reason) -> None:
        self.rig, self.author, self.reason = rig, author, reason
        self.state: Snapshot = live(rig)
        self.moved: dict[tuple[str, str, str], Value] = {}

    def grow(self, steps: Iterable[Step], start: datetime) -> None:
        """A revision for each step that changes something, a second apart."""
        made: list[tuple[Revision, Change]] = []
        frames: list[tuple[Revision, bytes]] = []
        for step in steps:
            old = self.state[step.part].get(step.field)
            if old == step.value:
                continue
            change = Change(step.part, step.kind, step.field, old, step.value)
            revision = self._revision(change, start + timedelta(seconds=len(made)))
            self.state = {**self.state, **apply({step.part: self.state[step.part]}, [change])}
            self.moved[step.part, step.kind, step.field] = step.value
            made.append((revision, change))
            # At the numbers at which the gateway writes one.
            if (revision.number - 1) % KEY_FRAME_EVERY == 0:
                frames.append((revision, chain.pack(self.state)))
        self._write(made, frames)

    def _revision(self, change: Change, at: datetime) -> Revision:
        rig, who = self.rig, self.author
        content = chain.content_of(
            rig=str(rig.pk),
            number=rig.head_number + 1,
            parent=rig.head_digest,
            author={"id": str(who.pk), "name": who.name},
            at=iso(at),
            reason=self.reason.as_content(),
            restored=None,
            changes=[change],
        )
        revision = Revision(
            rig=rig,
            number=rig.head_number + 1,
            author=who,
            author_name=who.name,
            at=at,
            reason_kind=self.reason.kind,
            reason_words=self.reason.words,
            parent_digest=rig.head_digest,
            digest=chain.digest(content),
        )
        rig.head_number, rig.head_digest = revision.number, revision.digest
        return revision

    def _write(
        self, made: list[tuple[Revision, Change]], frames: list[tuple[Revision, bytes]]
    ) -> None:
        Revision.objects.bulk_create([each for each, _ in made], AT_ONCE)
        ChangeRow.objects.bulk_create(_changes(made), AT_ONCE)
        KeyFrame.objects.bulk_create(
            [
                KeyFrame(
                    revision=revision,
                    rig=self.rig,
                    number=revision.number,
                    body=body,
                    body_sha256=chain.sha256(body),
                )
                for revision, body in frames
            ],
            AT_ONCE,
        )
        for (part, kind, field), value in self.moved.items():
            column = next(c for c in columns(PARTS[kind]) if c.name == field)
            rows.update(PARTS[kind], part, {column.attname: value})
        head = {"head_number": self.rig.head_number, "head_digest": self.rig.head_digest}
        rows.update(Rig, self.rig.pk, head)


def _changes(made: list[tuple[Revision, Change]]) -> Iterator[ChangeRow]:
    for revision, change in made:
        yield ChangeRow(
            revision=revision,
            part=change.part,
            kind=change.kind,
            field=change.field,
            old_json=chain.canonical(change.old).decode(),
            new_json=chain.canonical(change.new).decode(),
        )
