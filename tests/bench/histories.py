"""Write long histories for measurements.

The rows are those that the gateway would have written, with digests, key frames, what is kept
apart of people and the log, but many in one statement: a hundred thousand take seconds instead of
minutes.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Any, NamedTuple
from uuid import UUID

from django.db import transaction

from core import clock
from core.models import LogEntry, PersonalText, User
from core.personal.commitments import commitment, new_salt, reference
from core.personal.store import keep
from core.proof import entries
from core.proof.key import key_if_usable
from rigs.changes import chain
from rigs.changes.diff import apply
from rigs.changes.edits import Change, Snapshot, Value
from rigs.changes.reasons import Reason
from rigs.models import PARTS, ChangeRow, KeyFrame, Revision, Rig
from rigs.models.parts import columns
from rigs.revisions import rows
from rigs.revisions.read import live
from rigs.revisions.writer import KEY_FRAME_EVERY, iso
from tests.bench.bulk import keys_for, put

SECOND = timedelta(seconds=1)


class Step(NamedTuple):
    """One field of one part becomes another."""

    part: str
    kind: str
    field: str
    value: Value
    reason: Reason | None = None  # that of the history, unless it has its own


class Made(NamedTuple):
    """A change to be written."""

    change: Change
    number: int
    at: datetime
    reason: Reason
    words: str
    parent: str
    digest: str


class History:
    """The growing history of one rig."""

    def __init__(self, rig: Rig, author: User, reason: Reason) -> None:
        self.rig, self.author, self.reason = rig, author, reason
        self.state: Snapshot = live(rig)
        self.moved: dict[tuple[str, str, str], Value] = {}
        self.name = keep(rig.production_id, author.name, "name", person=author.pk)
        self.texts: list[tuple[Any, ...]] = []

    @transaction.atomic
    def grow(self, steps: Iterable[Step], start: datetime, apart: timedelta = SECOND) -> None:
        """A revision for each step that changes something, so far apart."""
        made: list[Made] = []
        frames: list[tuple[int, bytes]] = []
        for step in steps:
            old = self.state[step.part].get(step.field)
            if old == step.value:
                continue
            change = Change(step.part, step.kind, step.field, old, step.value)
            made.append(self._made(change, step.reason or self.reason, start + apart * len(made)))
            self.state = {**self.state, **apply({step.part: self.state[step.part]}, [change])}
            self.moved[step.part, step.kind, step.field] = step.value
            # At the numbers at which the gateway writes one.
            if (self.rig.head_number - 1) % KEY_FRAME_EVERY == 0:
                frames.append((self.rig.head_number, chain.pack(self.state)))
        if made:
            self._write(made, frames)

    def _made(self, change: Change, reason: Reason, at: datetime) -> Made:
        rig, who = self.rig, self.author
        words, number, parent = self._kept(reason.words), rig.head_number + 1, rig.head_digest
        content = chain.content_of(
            rig=str(rig.pk),
            number=number,
            parent=parent,
            author={"id": str(who.pk), "name": self.name},
            at=iso(at),
            reason={**reason.as_content(), "words": words},
            restored=None,
            changes=[change],
        )
        rig.head_number, rig.head_digest = number, chain.digest(content)
        return Made(change, number, at, reason, words, parent, rig.head_digest)

    def _kept(self, words: str) -> str:
        """As core.personal.store keeps them; they are written with the rest."""
        if not words:
            return ""
        salt = new_salt()
        made = commitment(words, salt)
        who = self.author.pk
        self.texts.append((self.rig.production_id, who, None, "words", made, salt, words, None))
        return reference(made)

    def _write(self, made: list[Made], frames: list[tuple[int, bytes]]) -> None:
        rig, who = self.rig, self.author
        keys = {
            each.number: key for each, key in zip(made, keys_for(Revision, len(made)), strict=True)
        }
        put(PersonalText, PERSONAL, self.texts)
        put(
            Revision,
            REVISION,
            [
                (keys[m.number], rig.pk, m.number, who.pk, self.name, m.at, m.reason.kind.value)
                + (m.words, _notes(m.reason), m.parent, m.digest)
                for m in made
            ],
        )
        put(ChangeRow, CHANGE, [_row(keys[m.number], m.change) for m in made])
        put(
            KeyFrame,
            KEY_FRAME,
            [(keys[n], rig.pk, n, body, chain.sha256(body)) for n, body in frames],
        )
        self._log(made)
        framed = [keys[number] for number, _ in frames]
        frame_keys = KeyFrame.objects.filter(revision__in=framed).values_list("pk", flat=True)
        entries.note(KeyFrame, list(frame_keys))
        for (part, kind, field), value in self.moved.items():
            column = next(c for c in columns(PARTS[kind]) if c.name == field)
            rows.update(PARTS[kind], part, {column.attname: value})
        self.moved.clear()
        rows.update(Rig, rig.pk, {"head_number": rig.head_number, "head_digest": rig.head_digest})

    def _log(self, made: list[Made]) -> None:
        """Whoever measures has no key on the server: entries have no mark then."""
        assert key_if_usable() is None
        place, at = self.rig.production_id, clock.now()
        said = [("core.personaltext", text[4], text[4]) for text in self.texts]
        said += [("rigs.revision", f"{self.rig.pk}/{m.number}", m.digest) for m in made]
        logged = [
            (place, table, key, bytes.fromhex(digest), at, b"") for table, key, digest in said
        ]
        put(LogEntry, LOG_ENTRY, logged)
        self.texts.clear()


PERSONAL = ["production_id", "person_id", "player_id", "kind", "commitment", "salt", "text"]
PERSONAL += ["removal_id"]
REVISION = ["id", "rig_id", "number", "author_id", "author_name", "at", "reason_kind"]
REVISION += ["reason_words", "reason_notes", "parent_digest", "digest"]
CHANGE = ["revision_id", "part", "kind", "field", "old_json", "new_json"]
KEY_FRAME = ["revision_id", "rig_id", "number", "body", "body_sha256"]
LOG_ENTRY = ["production_id", "table", "key", "digest", "at", "mark"]


def _notes(reason: Reason) -> str:
    return chain.canonical([str(note) for note in reason.notes]).decode()


def _row(revision: int, change: Change) -> tuple[Any, ...]:
    old, new = (chain.canonical(value).decode() for value in (change.old, change.new))
    return revision, UUID(change.part), change.kind, change.field, old, new
