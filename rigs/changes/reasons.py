"""When a change needs a reason, and what counts as one. The rule lives here and nowhere else.

The first documentation of an input needs none. After that, whoever changes its microphone or DI,
or where it stands, says why: with listening notes, or with a stated circumstance. So does whoever
takes something away that an input picks up.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from collections.abc import Set as SetOf
from dataclasses import dataclass, field
from enum import StrEnum
from uuid import UUID

from core.languages.marked import Said, gettext_noop
from core.languages.words import told
from rigs.changes.edits import WHOLE, Change, Value
from rigs.fields import FieldRole, find


class ReasonKind(StrEnum):
    """Why a revision was made, as far as it can be picked from a list."""

    # The values are stored in revisions and covered by their digests: they are never renamed.
    NONE = "none"
    NOTES = "notes"
    FAILURE = "failure"
    HIRE = "hire"
    ROOM = "room"
    WISH = "wish"
    CORRECTION = "correction"


LABELS: dict[ReasonKind, str] = {
    ReasonKind.NONE: gettext_noop("documentation"),
    ReasonKind.NOTES: gettext_noop("something that was heard"),
    ReasonKind.FAILURE: gettext_noop("something failed"),
    ReasonKind.HIRE: gettext_noop("hired in place of ours"),
    ReasonKind.ROOM: gettext_noop("the room"),
    ReasonKind.WISH: gettext_noop("the player’s wish"),
    ReasonKind.CORRECTION: gettext_noop("the record was wrong"),
}
# As a sentence of a change begins that was made for it.
BECAUSE: dict[ReasonKind, str] = {
    ReasonKind.NOTES: gettext_noop("Because of something that was heard"),
    ReasonKind.FAILURE: gettext_noop("Because something failed"),
    ReasonKind.HIRE: gettext_noop("Because it was hired in place of ours"),
    ReasonKind.ROOM: gettext_noop("Because of the room"),
    ReasonKind.WISH: gettext_noop("Because of the player’s wish"),
    ReasonKind.CORRECTION: gettext_noop("Because the record was wrong"),
}
CIRCUMSTANCES = [kind for kind in ReasonKind if kind not in (ReasonKind.NONE, ReasonKind.NOTES)]


class ReasonRequired(Exception):
    """A documented microphone, DI or placement is changed without an acceptable reason."""

    def __init__(self, changes: Sequence[Change], message: str | None = None) -> None:
        self.changes = list(changes)
        super().__init__(told(message or MESSAGE))


MESSAGE = Said(
    gettext_noop(
        "Changing a documented microphone, DI or its placement needs a reason: a listening note, "
        "or what happened (a failure, a hire, the room, the player’s wish, a wrong record). "
        "So does taking away what an input picks up."
    )
)


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a revision was made. `notes` are ids of listening notes of the same production."""

    kind: ReasonKind = ReasonKind.NONE
    words: str = ""
    notes: tuple[UUID, ...] = field(default=())

    def as_content(self) -> dict[str, object]:
        return {"kind": str(self.kind), "words": self.words, "notes": [str(n) for n in self.notes]}


NO_REASON = Reason()


def needing_reason(changes: Iterable[Change]) -> list[Change]:
    """The changes among `changes` that nobody may make without saying why."""
    changes = list(changes)
    gone = {change.part for change in changes if change.field == WHOLE and change.new is None}
    return [change for change in changes if _moves_documented(change, gone)]


def _moves_documented(change: Change, gone: SetOf[str]) -> bool:
    if change.field == WHOLE:
        # An input that leaves takes its documented microphone with it; one that arrives is new.
        old = change.old if isinstance(change.old, dict) else {}
        return change.new is None and (
            any(_is_device(change.kind, name) for name in old) or _is_taken_away(change, old, gone)
        )
    row = find(change.kind, change.field)
    # A value where none was is first documentation.
    return row is not None and row.needs_reason and change.old is not None


def _is_taken_away(change: Change, old: Mapping[str, Value], gone: SetOf[str]) -> bool:
    """Whether a source is taken from an input that stays, or a unit from a group that stays."""
    rows = (find(change.kind, name) for name in old)
    return any(row is not None and row.leaves_for_reason for row in rows) and gone.isdisjoint(
        str(value) for value in old.values()
    )


def _is_device(kind: str, name: str) -> bool:
    row = find(kind, name)
    return row is not None and row.role is FieldRole.DEVICE


def check_reason(changes: Sequence[Change], reason: Reason) -> None:
    """Raise ReasonRequired unless `reason` is complete, and given where `changes` need one."""
    # An incomplete reason is refused even where none is needed: it would stay in the history as it
    # is.
    if reason.kind == ReasonKind.NOTES and not reason.notes:
        words = Said(gettext_noop("Pick the listening note that is the reason."))
        raise ReasonRequired(changes, words)
    if reason.kind in CIRCUMSTANCES and not reason.words.strip():
        asked = gettext_noop("Say in a few words what happened ({reason}).")
        raise ReasonRequired(changes, Said(asked, reason=Said(LABELS[reason.kind])))
    if reason.kind == ReasonKind.NONE:
        needing = needing_reason(changes)
        if needing:
            raise ReasonRequired(needing)
