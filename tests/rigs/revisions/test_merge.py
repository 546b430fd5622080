"""The merge loses nothing that anybody typed."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigs.revisions.diff import apply, diff
from rigs.revisions.edits import WHOLE, Add, Edit, Retire, Set, Snapshot, same
from rigs.revisions.merge import merge
from tests.rigs.revisions.strategies import FIELDS, KINDS, PARTS, snapshots

DEFAULTS = {kind: {"notes": ""} for kind in ("unit", "control", "input")}


@st.composite
def edits(draw: st.DrawFn, base: Snapshot) -> list[Edit]:
    """One edit a part: of one that is in `base`, or a new one."""
    result: list[Edit] = []
    for part in draw(st.lists(PARTS, unique=True, max_size=4)):
        if part not in base:
            result.append(Add(f"new-{part}", draw(KINDS), draw(FIELDS)))
        elif draw(st.booleans()):
            result.append(Retire(part, str(base[part]["kind"])))
        else:
            result.append(Set(part, str(base[part]["kind"]), draw(FIELDS)))
    return result


@given(st.data(), snapshots(), snapshots())
def test_every_typed_value_is_taken_or_shown_as_a_clash(
    data: st.DataObject, base: Snapshot, head: Snapshot
) -> None:
    typed = data.draw(edits(base))
    merged = merge(base, head, typed, DEFAULTS)
    after = apply(head, merged.changes)
    clashed = {(c.part, c.field) for c in merged.clashes}
    for edit in typed:
        if isinstance(edit, Set):
            for name, value in edit.fields.items():
                if not same(value, base[edit.part].get(name)):
                    taken = edit.part in after and same(after[edit.part].get(name), value)
                    assert taken or {(edit.part, name), (edit.part, WHOLE)} & clashed


@given(st.data(), snapshots(), snapshots())
def test_what_others_did_survives_unless_it_clashes(
    data: st.DataObject, base: Snapshot, head: Snapshot
) -> None:
    typed = data.draw(edits(base))
    after = apply(head, merge(base, head, typed, DEFAULTS).changes)
    theirs = {(c.part, c.field): c.new for c in diff(base, head)}
    mine = {(e.part, name) for e in typed if isinstance(e, Set) for name in e.fields} | {
        (e.part, WHOLE) for e in typed if not isinstance(e, Set)
    }
    for (part, field), new in theirs.items():
        if (part, field) not in mine and (part, WHOLE) not in mine and field != WHOLE:
            assert after[part].get(field) == new


@given(st.data(), snapshots())
def test_on_the_newest_state_nothing_clashes(data: st.DataObject, base: Snapshot) -> None:
    assert merge(base, base, data.draw(edits(base)), DEFAULTS).clashes == []


def test_editing_what_somebody_retired_is_a_clash_with_what_was_typed() -> None:
    base: Snapshot = {"x": {"kind": "unit", "name": "a"}}
    (clash,) = merge(base, {}, [Set("x", "unit", {"name": "b"})], DEFAULTS).clashes
    assert (clash.field, clash.now, clash.typed) == (WHOLE, None, {"kind": "unit", "name": "b"})


def test_retiring_what_somebody_edited_is_a_clash() -> None:
    base: Snapshot = {"x": {"kind": "unit", "name": "a"}}
    head: Snapshot = {"x": {"kind": "unit", "name": "b"}}
    merged = merge(base, head, [Retire("x", "unit")], DEFAULTS)
    assert merged.changes == []
    assert merged.clashes[0].now == {"kind": "unit", "name": "b"}


def test_an_edit_of_an_unknown_part_is_an_error() -> None:
    with pytest.raises(KeyError):
        merge({}, {}, [Set("x", "unit", {"name": "b"})], DEFAULTS)
