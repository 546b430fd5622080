"""The merge loses nothing that anybody typed."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigs.changes.diff import apply, diff
from rigs.changes.edits import WHOLE, Add, Edit, Retire, Set, Snapshot, same
from rigs.changes.merge import merge
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


# Fields that go together, as the two of a pin's spot.
SPOT = {"unit": (("x", "y"),)}
PLACES = st.one_of(st.none(), st.sampled_from(["0.1", "0.5", "0.9"]))
SPOTS = st.fixed_dictionaries({"x": PLACES, "y": PLACES, "words": PLACES})


def placed(fields: dict[str, str | None]) -> Snapshot:
    return {"pin": {"kind": "unit", **{n: v for n, v in fields.items() if v is not None}}}


def spot(state: Snapshot) -> tuple[object, object]:
    return state["pin"].get("x"), state["pin"].get("y")


@given(SPOTS, SPOTS, st.sets(st.sampled_from(["x", "y", "words"])), SPOTS)
def test_a_spot_is_one_that_somebody_chose_or_is_asked_about(
    then: dict[str, str | None],
    now: dict[str, str | None],
    typed: set[str],
    mine: dict[str, str | None],
) -> None:
    base, head = placed(then), placed(now)
    edit = Set("pin", "unit", {name: mine[name] for name in typed})
    merged = merge(base, head, [edit], {"unit": {}}, SPOT)
    wanted = spot(placed({**then, **edit.fields}))
    after = apply(head, merged.changes)
    asked = {clash.field for clash in merged.clashes}
    if asked & {"x", "y"}:
        assert spot(after) == spot(head)
        assert wanted not in (spot(base), spot(head))
        assert spot(head) != spot(base)
        # Who keeps what was typed gets the whole spot that was typed.
        told = {c.field: c.typed for c in merged.clashes}
        assert (told.get("x", spot(head)[0]), told.get("y", spot(head)[1])) == wanted
    else:
        assert spot(after) in (spot(head), wanted)
        assert spot(after) == (wanted if wanted != spot(base) else spot(head))
    other = merge(base, head, [edit], {"unit": {}})
    assert ("words" in asked) == any(clash.field == "words" for clash in other.clashes)
