"""The gateway: the one way a rig changes, whoever asks (page, API, import, admin, shell)."""

from __future__ import annotations

from collections.abc import Iterable
from types import MappingProxyType
from typing import TYPE_CHECKING

from django.db import transaction
from django.utils.translation import gettext as _

from rigs.changes.diff import diff
from rigs.changes.edits import WHOLE, Add, Change, Clash, Edit, Retire, Set, Snapshot
from rigs.changes.reasons import NO_REASON, Reason, ReasonRequired, check_reason
from rigs.models import Revision, Rig
from rigs.places import CHECK_NOTES, LINK_NOTES, RECORDED
from rigs.revisions import read, writer
from rigs.revisions.plan import make_plan
from rigs.revisions.rows import fetch
from rigs.revisions.swaps import Decided, check_swaps, decided_on, stated_by
from rigs.swaps import Stated

if TYPE_CHECKING:
    from core.models import User


class Conflict(Exception):
    """Somebody else changed the same thing meanwhile. Nothing was written."""

    def __init__(self, rig: Rig, clashes: list[Clash]) -> None:
        self.rig, self.clashes = rig, clashes
        super().__init__(_("Someone else changed the same thing since you opened it."))


def record(
    rig: Rig,
    edits: Iterable[Edit],
    *,
    author: User,
    base: int,
    reason: Reason = NO_REASON,
    restored: int | None = None,
    stated: Stated | None = None,
) -> Revision | None:
    """Write `edits`, made on revision `base` of `rig`, as one revision; None if nothing changes.

    Edits of what nobody else touched since `base` are taken; the rest raises Conflict with both
    values. Raises ValidationError for values that cannot be, ReasonRequired where the change needs
    a reason it does not have, SwapUndecided where a device is swapped and what was set for the old
    one is neither set nor `stated`, NoSuchRevision for a base that is not there. All or nothing.
    """
    with transaction.atomic():
        # Everything below reads the rig as it stands in the database: the caller's instance may be
        # older, and the lock makes two writers of one rig take turns, so that numbers and digests
        # form one chain.
        locked = _lock(rig)
        edits = list(edits)
        plan = make_plan(locked, edits, base)
        # Clashes come before reasons: whoever has to decide about a value anew may have another
        # reason.
        if plan.clashes:
            raise Conflict(locked, plan.clashes)
        if not plan.changes:
            return None
        check_reason(plan.changes, reason)
        _check_notes(locked, reason)
        check_swaps(plan, stated_by(edits) if stated is None else stated)
        revision = writer.write(locked, plan, author, reason, restored)
        if reason.notes:
            LINK_NOTES.call(revision, reason.notes)
        # Inside the transaction, so that whatever follows from a change (the index, open pages) is
        # undone with it.
        RECORDED.call(revision, plan.changes)
    # The caller may go on writing with its own instance; only these two have moved.
    rig.head_number, rig.head_digest = revision.number, revision.digest
    return revision


def _check_notes(rig: Rig, reason: Reason) -> None:
    """Raise ReasonRequired unless the notes of `reason` are known, or where nobody knows any."""
    if reason.notes and not CHECK_NOTES.providers:
        raise ReasonRequired([], _("No listening notes are kept here that could be the reason."))
    if reason.notes:
        CHECK_NOTES.call(rig, reason.notes)


def _lock(rig: Rig) -> Rig:
    locked = fetch(Rig, [rig.pk], lock=True)
    if not locked:
        raise Rig.DoesNotExist(_("There is no rig {pk}.").format(pk=rig.pk))
    return locked[0]


def create(
    rig: Rig, *, author: User, parts: Iterable[Add] = (), reason: Reason = NO_REASON
) -> Revision:
    """Store an unsaved `rig` with its first revision, `parts` included. Raises as `record`."""
    # The rig is a part of itself, of kind “rig”: its first revision says what it is, as any other
    # part's.
    fields = {name: value for name, value in rig.fields().items() if name != "kind"}
    with transaction.atomic():
        writer.insert_empty(rig)
        first = record(
            rig, [Add(str(rig.pk), "rig", fields), *parts], author=author, base=0, reason=reason
        )
    assert first is not None  # noqa: S101 - a rig always adds itself
    return first


def restore(
    rig: Rig,
    number: int,
    *,
    author: User,
    reason: Reason = NO_REASON,
    decided: Decided = MappingProxyType({}),
) -> Revision | None:
    """Restore the state of revision `number`, as a new revision on top.

    `decided` holds what was decided for inputs that get another device, because the old state was
    not made for today's stage. Raises SwapUndecided where that is missing; everything else as
    `record`.
    """
    with transaction.atomic():
        locked = _lock(rig)
        target, now = decided_on(read.as_of(locked, number), decided), read.live(locked)
        return record(
            rig,
            edits_between(now, target),
            author=author,
            # On the head of now, with the lock held: going back cannot clash with anybody.
            base=locked.head_number,
            reason=reason,
            restored=number,
            stated=decided,
        )


def edits_between(now: Snapshot, target: Snapshot) -> list[Edit]:
    """The edits that make `now` into `target`."""
    return [edit for change in diff(now, target) for edit in _as_edits(change)]


def _as_edits(change: Change) -> list[Edit]:
    if change.field != WHOLE:
        assert not isinstance(change.new, dict)  # noqa: S101 - only whole parts are dicts
        return [Set(change.part, change.kind, {change.field: change.new})]
    if isinstance(change.new, dict):
        fields = {name: value for name, value in change.new.items() if name != "kind"}
        return [Add(change.part, change.kind, fields)]
    return [Retire(change.part, change.kind)]
