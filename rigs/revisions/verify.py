"""Walk a rig's chain from its first revision and say where it breaks."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from typing import Any

from core.personal.commitments import committed_in
from core.personal.fields import stored
from rigs.changes import chain
from rigs.changes.diff import DoesNotApply, apply, diff
from rigs.changes.edits import Change, Snapshot
from rigs.models import ChangeRow, KeyFrame, Revision, Rig
from rigs.revisions.read import live
from rigs.revisions.writer import iso, iso_if


class BrokenHistory(Exception):
    """The history is not what was written. The message says where it first breaks."""


def verify_rig(rig: Rig) -> int:
    """The number of revisions walked. Raises BrokenHistory at the first that does not hold."""
    walk = Walk(rig)
    for words in walk.broken():
        raise BrokenHistory(words)
    return walk.count


class Walk:
    """Along the history of a rig. `count` is how many revisions were walked."""

    def __init__(self, rig: Rig) -> None:
        self.rig, self.count = rig, 0
        self._state: Snapshot | None = {}  # None: what the changes add up to is not known

    def broken(self) -> Iterator[str]:
        """All that does not hold, in words and in order."""
        parent, expected = chain.NO_PARENT, 1
        frames = _frames(self.rig)
        frame = next(frames, None)
        for revision, rows in _revisions(self.rig):
            # Numbers are checked before digests: a revision taken out would otherwise show as a
            # wrong parent.
            if revision.number != expected:
                yield f"change {expected} is missing"
                self._state = None
            yield from self._one(revision, rows, parent)
            while frame is not None and frame.number < revision.number:
                yield _no_such(frame)
                frame = next(frames, None)
            if frame is not None and frame.number == revision.number:
                yield from self._frame(revision, frame)
                frame = next(frames, None)
            parent, expected = revision.digest, revision.number + 1
            self.count += 1
        if frame is not None:
            yield from map(_no_such, [frame, *frames])
        yield from _raised(lambda: _check_head(self.rig, parent, expected - 1, self._state))

    def _one(self, revision: Revision, rows: list[ChangeRow], parent: str) -> Iterator[str]:
        try:
            changes = _step(self.rig, revision, rows, parent)
            if self._state is not None:
                self._state = _applied(revision, changes, self._state)
        except BrokenHistory as error:
            self._state = None
            yield str(error)

    def _frame(self, revision: Revision, frame: KeyFrame) -> Iterator[str]:
        try:
            # After a break, the next whole state that is sound is where to go on from.
            self._state = _check_frame(revision, frame, self._state)
        except BrokenHistory as error:
            yield str(error)


def _no_such(frame: KeyFrame) -> str:
    return f"a whole state is kept for change {frame.number}, which does not exist"


def _raised(check: Callable[[], None]) -> Iterator[str]:
    try:
        check()
    except BrokenHistory as error:
        yield str(error)


def _revisions(rig: Rig) -> Iterator[tuple[Revision, list[ChangeRow]]]:
    """Each with its rows, side by side: a history may be longer than the memory."""
    rows = ChangeRow.objects.filter(revision__rig=rig).order_by("revision__number", "pk")
    waiting = rows.iterator(chunk_size=2000)
    row = next(waiting, None)
    for revision in Revision.objects.filter(rig=rig).order_by("number").iterator(chunk_size=1000):
        own: list[ChangeRow] = []
        while row is not None and row.revision_id == revision.pk:
            own.append(row)
            row = next(waiting, None)
        yield revision, own


def _frames(rig: Rig) -> Iterator[KeyFrame]:
    """In order, few at a time: each holds a whole rig."""
    return KeyFrame.objects.filter(rig=rig).order_by("number").iterator(chunk_size=20)


def _step(rig: Rig, revision: Revision, rows: list[ChangeRow], parent: str) -> list[Change]:
    where = f"change {revision.number}"
    if revision.parent_digest != parent:
        raise BrokenHistory(f"{where} does not follow the one before it")
    for row in rows:
        _check_spelling(where, row.old_json, row.new_json)
    _check_spelling(where, revision.reason_notes)
    changes = [row.as_change() for row in rows]
    name, words = stored(revision, "author_name"), stored(revision, "reason_words")
    content = chain.content_of(
        rig=str(rig.pk),
        number=revision.number,
        parent=parent,
        author={
            "id": str(revision.author_id) if revision.author_id else None,
            "name": name,
        },
        at=iso(revision.at),
        reason={
            "kind": revision.reason_kind,
            "words": words,
            "notes": revision.note_ids,
        },
        restored=revision.restored,
        changes=changes,
        written=iso_if(revision.written_at),
        device_said=iso_if(revision.device_said),
        # Rows of before say the name itself.
        format=1 if committed_in(name) is None else chain.FORMAT,
    )
    if chain.digest(content) != revision.digest:
        raise BrokenHistory(
            f"{where} is not what was written: its digest does not match its content"
        )
    return changes


def _applied(revision: Revision, changes: list[Change], state: Snapshot) -> Snapshot:
    try:
        return apply(state, changes)
    except DoesNotApply as error:
        where = f"change {revision.number}"
        raise BrokenHistory(f"{where} does not fit the state before it: {error}") from None


def _check_spelling(where: str, *texts: str) -> None:
    """Stored JSON is canonical: another spelling of the same value was not written by us."""
    for text in texts:
        try:
            same = chain.canonical(json.loads(text)).decode() == text
        except ValueError:
            same = False
        if not same:
            raise BrokenHistory(f"{where} holds a value that is not as it was written")


def _check_frame(revision: Revision, frame: KeyFrame, state: Snapshot | None) -> Snapshot:
    """The whole state that is kept; `state` is what the changes add up to, if that is known."""
    where = f"the whole state kept at change {revision.number}"
    if frame.revision_id != revision.pk:
        raise BrokenHistory(f"{where} belongs to another change")
    body = bytes(frame.body)
    # Before it is unpacked: damaged bytes may unpack to something, or to a lot.
    if chain.sha256(body) != frame.body_sha256:
        raise BrokenHistory(f"{where} is damaged")
    try:
        stored: Any = chain.unpack(body)
    except ValueError as error:
        raise BrokenHistory(f"{where}: {error}") from None
    if state is not None and stored != state:
        raise BrokenHistory(
            f"{where} differs from what the changes add up to: {_first(stored, state)}"
        )
    kept: Snapshot = stored
    return kept


def _check_head(rig: Rig, digest: str, number: int, state: Snapshot | None) -> None:
    if (rig.head_number, rig.head_digest) != (number, digest):
        raise BrokenHistory(
            f"the rig says its newest change is {rig.head_number}; the history ends at {number}"
        )
    now = live(rig)
    # Last, because the tables of today are no part of the chain: a row that was written past the
    # gateway shows only here.
    if state is not None and now != state:
        raise BrokenHistory(
            "the rig's present state was changed without a record: " + _first(state, now)
        )


def _first(a: Snapshot, b: Snapshot) -> str:
    change = diff(a, b)[0]
    return f"{change.kind} {change.part} {change.field}".strip()
