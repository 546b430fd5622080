"""Bring edits made on an older state together with what others did since. Pure.

Field by field: what nobody else touched is taken, what both sides set alike is taken once, and
what both sides set differently is a clash that shows both values. Nothing typed is dropped.
Fields that go together (the two of a pin's spot) are taken or clash as one: a pin that one side
moved sideways and the other upwards would stand where neither of them put it.

A field that others changed and changed back has, by value, not moved: it is no clash, and both of
their changes stay in the history.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from rigs.changes.diff import diff_part
from rigs.changes.edits import WHOLE, Add, Change, Clash, Edit, Retire, Set, Snapshot, Value, same


@dataclass(slots=True)
class Merged:
    """What to write, and what a person has to decide."""

    changes: list[Change] = field(default_factory=list)
    clashes: list[Clash] = field(default_factory=list)


Defaults = Mapping[str, Mapping[str, Value]]  # kind → field → default
Together = Mapping[str, tuple[tuple[str, ...], ...]]  # kind → groups of fields


def merge(
    base: Snapshot,
    head: Snapshot,
    edits: Iterable[Edit],
    defaults: Defaults,
    together: Together = MappingProxyType({}),
) -> Merged:
    """Merge edits that were typed against `base` into `head`.

    `base` and `head` need only hold the parts that the edits name. `defaults` are the default
    values of fields, and `together` the groups of fields that are merged as one, each by kind of
    part. Raises KeyError for an edit of a part that neither of the two has.
    """
    # Edits are applied one after another to a copy, so that a later edit of a part sees the earlier
    # ones.
    state = {part: dict(fields) for part, fields in head.items()}
    clashes: list[Clash] = []
    for edit in edits:
        was, now = base.get(edit.part), state.get(edit.part)
        if isinstance(edit, Add):
            _add(edit, now, state, clashes, defaults)
        elif isinstance(edit, Retire):
            _retire(edit, was, now, state, clashes)
        else:
            _set(edit, was, now, state, clashes, defaults, together.get(edit.kind, ()))
    # Only the net difference from the head is written, whatever the edits did on the way.
    changes = [
        change
        for part in sorted(state.keys() | head.keys())
        for change in diff_part(part, head.get(part), state.get(part))
    ]
    return Merged(changes, clashes)


# As in a stored snapshot: a part whose defaults were spelled out would differ from itself.
def _without_defaults(
    fields: Mapping[str, Value], defaults: Mapping[str, Value]
) -> dict[str, Value]:
    return {
        name: v for name, v in fields.items() if not same(v, defaults.get(name)) and v is not None
    }


def _add(
    edit: Add,
    now: dict[str, Value] | None,
    state: Snapshot,
    clashes: list[Clash],
    defaults: Defaults,
) -> None:
    typed = {"kind": edit.kind, **_without_defaults(edit.fields, defaults[edit.kind])}
    if now is None:
        state[edit.part] = typed
    # The very same part added twice (a request sent again) is no clash.
    elif now != typed:
        clashes.append(Clash(edit.part, edit.kind, WHOLE, None, now, typed))


def _retire(
    edit: Retire,
    was: dict[str, Value] | None,
    now: dict[str, Value] | None,
    state: Snapshot,
    clashes: list[Clash],
) -> None:
    if now is None:
        if was is None:
            raise KeyError(edit.part)
        return  # retired on both sides
    # Somebody worked on it since: retiring it would throw their change away unseen.
    if was is not None and was != now:
        clashes.append(Clash(edit.part, str(now["kind"]), WHOLE, was, now, None))
        return
    del state[edit.part]


def _set(
    edit: Set,
    was: dict[str, Value] | None,
    now: dict[str, Value] | None,
    state: Snapshot,
    clashes: list[Clash],
    defaults: Defaults,
    together: tuple[tuple[str, ...], ...],
) -> None:
    if now is None and was is None:
        raise KeyError(edit.part)
    # `was` is None for a part that came after the base; then the edit is measured against it as it
    # is.
    reference = was if was is not None else now
    assert reference is not None  # noqa: S101 - one of the two is there, checked above
    kind = str(reference["kind"])
    typed = {
        name: None if same(value, defaults[kind].get(name)) else value
        for name, value in edit.fields.items()
    }
    # A form sends every field. What equals the state that it was made from was not edited, whatever
    # others made of it since.
    moved = {name: value for name, value in typed.items() if not same(value, reference.get(name))}
    if not moved:
        return
    if now is None:
        clashes.append(Clash(edit.part, kind, WHOLE, was, None, {**reference, **moved}))
        return
    for group in _groups(moved, together):
        reference_values = {
            name: moved[name] if name in moved else reference.get(name) for name in group
        }
        # Untouched since, or set to the very same by somebody else.
        if _alike(now, reference, group) or _alike(now, reference_values, group):
            for name, value in reference_values.items():
                _put(state[edit.part], name, value)
        else:
            # Of fields that go together only those that really differ are shown to decide on.
            clashes += [
                Clash(edit.part, kind, name, reference.get(name), now.get(name), value)
                for name, value in reference_values.items()
                if not same(now.get(name), value)
            ]


def _groups(
    moved: Iterable[str], together: tuple[tuple[str, ...], ...]
) -> dict[tuple[str, ...], None]:
    """The groups that are taken or clash as one: each moved field with its companions."""
    return dict.fromkeys(
        next((group for group in together if name in group), (name,)) for name in moved
    )


def _alike(one: Mapping[str, Value], other: Mapping[str, Value], group: tuple[str, ...]) -> bool:
    return all(same(one.get(name), other.get(name)) for name in group)


def _put(fields: dict[str, Value], name: str, value: Value) -> None:
    if value is None:
        fields.pop(name, None)
    else:
        fields[name] = value
