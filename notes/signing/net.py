"""What a stretch of history adds up to: of many changes to one field, where it came from and is.

Turned and turned back is no difference. Each difference knows the revisions that made it. Pure.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import NamedTuple

from rigs.revisions.edits import WHOLE, Change, Value, same


class Step(NamedTuple):
    """One stored change, and the revision (by its primary key) that made it."""

    revision: int
    change: Change


class Difference(NamedTuple):
    """What is not as it was, and the revisions that touched it, oldest first."""

    change: Change
    revisions: tuple[int, ...]


@dataclass(slots=True)
class _Field:
    old: Value
    new: Value
    revisions: list[int]


@dataclass(slots=True)
class _Part:
    kind: str
    was_there: bool
    is_there: bool
    fields: dict[str, _Field] = field(default_factory=dict)
    whole: list[int] = field(default_factory=list)  # revisions in which it came or went

    def touch(self, name: str, old: Value, new: Value, revision: int) -> None:
        known = self.fields.setdefault(name, _Field(old, new, []))
        known.new = new
        known.revisions.append(revision)


def net(steps: Iterable[Step]) -> list[Difference]:
    """The differences that `steps` of one rig, oldest first, leave between before and after."""
    parts: dict[str, _Part] = {}
    for step in steps:
        _take(parts, step)
    return [found for part, known in parts.items() for found in _differences(part, known)]


def _take(parts: dict[str, _Part], step: Step) -> None:
    revision, change = step
    part = parts.get(change.part)
    if part is None:
        was_there = change.field != WHOLE or change.old is not None
        part = parts[change.part] = _Part(change.kind, was_there, True)
    if change.field != WHOLE:
        part.touch(change.field, _plain(change.old), _plain(change.new), revision)
        return
    old = change.old if isinstance(change.old, dict) else {}
    new = change.new if isinstance(change.new, dict) else {}
    part.is_there = change.new is not None
    part.whole.append(revision)
    for name in (old | new).keys() - {"kind"}:
        part.touch(name, old.get(name), new.get(name), revision)


def _plain(value: Value | dict[str, Value]) -> Value:
    return None if isinstance(value, dict) else value


def _differences(part: str, known: _Part) -> Iterable[Difference]:
    if known.was_there and known.is_there:
        for name, value in sorted(known.fields.items()):
            if not same(value.old, value.new):
                yield Difference(
                    Change(part, known.kind, name, value.old, value.new), tuple(value.revisions)
                )
    elif known.was_there or known.is_there:
        old = _whole(known, "old") if known.was_there else None
        new = _whole(known, "new") if known.is_there else None
        yield Difference(Change(part, known.kind, WHOLE, old, new), tuple(known.whole))


def _whole(known: _Part, side: str) -> dict[str, Value]:
    values = {name: getattr(value, side) for name, value in known.fields.items()}
    return {"kind": known.kind} | {name: v for name, v in values.items() if v is not None}
