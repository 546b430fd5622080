"""What differs between two snapshots, and how to get from one to the other. Pure."""

from __future__ import annotations

from collections.abc import Iterable

from rigs.changes.edits import WHOLE, Change, Snapshot, Value, same


class DoesNotApply(ValueError):
    """A change expects a value that is not there, as after tampering with the history."""


def diff(a: Snapshot, b: Snapshot) -> list[Change]:
    """The changes that turn `a` into `b`, ordered by part and field."""
    changes: list[Change] = []
    for part in sorted(a.keys() | b.keys()):
        changes.extend(diff_part(part, a.get(part), b.get(part)))
    return changes


def diff_part(
    part: str, before: dict[str, Value] | None, after: dict[str, Value] | None
) -> list[Change]:
    """The changes of one part between two states; None stands for a state without it."""
    if before is None and after is None:
        return []
    # Another kind under the same id is another part, not an edited one.
    if before is None or after is None or before["kind"] != after["kind"]:
        kind = str((after or before or {})["kind"])
        return [Change(part, kind, WHOLE, before, after)]
    return [
        Change(part, str(before["kind"]), field, before.get(field), after.get(field))
        for field in sorted(before.keys() | after.keys())
        if not same(before.get(field), after.get(field))
    ]


def apply(snapshot: Snapshot, changes: Iterable[Change]) -> Snapshot:
    """The state that `changes` make of `snapshot`, which itself is left alone.

    Raises DoesNotApply where a change's old value is not the one in the snapshot.
    """
    # One level deeper than dict(snapshot): the fields of a part are changed in place below.
    result = {part: dict(fields) for part, fields in snapshot.items()}
    for change in changes:
        if change.field == WHOLE:
            _apply_whole(result, change)
        else:
            _apply_field(result, change)
    return result


def _apply_whole(snapshot: Snapshot, change: Change) -> None:
    # The old value is compared although only the new one is needed: this is how a tampered history
    # shows (rigs/revisions/verify.py).
    if snapshot.get(change.part) != change.old:
        raise DoesNotApply(f"{change.kind} {change.part} is not as the change expects it")
    if isinstance(change.new, dict):
        snapshot[change.part] = dict(change.new)
    else:
        snapshot.pop(change.part, None)


def _apply_field(snapshot: Snapshot, change: Change) -> None:
    fields = snapshot.get(change.part)
    if fields is None or fields.get(change.field) != change.old or isinstance(change.new, dict):
        raise DoesNotApply(
            f"{change.field} of {change.kind} {change.part} is not as the change expects it"
        )
    # None means “at its default”, and what is at its default is left out of a snapshot.
    if change.new is None:
        fields.pop(change.field, None)
    else:
        fields[change.field] = change.new
