"""Diff and apply, judged by RFC 6902 JSON Patch as implemented by the jsonpatch library."""

from __future__ import annotations

from typing import Any

import jsonpatch
import pytest
from hypothesis import given

from rigs.changes.chain import canonical
from rigs.changes.diff import DoesNotApply, apply, diff
from rigs.changes.edits import WHOLE, Change, Snapshot
from tests.rigs.revisions.strategies import snapshots


def as_json_patch(changes: list[Change]) -> list[dict[str, Any]]:
    """The same changes in the words of RFC 6902."""

    def operation(old: Any, new: Any) -> str:
        return "remove" if new is None else "add" if old is None else "replace"

    patch = []
    for change in changes:
        path = f"/{change.part}" + (f"/{change.field}" if change.field != WHOLE else "")
        step = {"op": operation(change.old, change.new), "path": path}
        patch.append(step if change.new is None else {**step, "value": change.new})
    return patch


@given(snapshots(), snapshots())
def test_the_difference_applied_to_one_gives_the_other(a: Snapshot, b: Snapshot) -> None:
    assert canonical(apply(a, diff(a, b))) == canonical(b)


@given(snapshots(), snapshots())
def test_json_patch_agrees(a: Snapshot, b: Snapshot) -> None:
    assert jsonpatch.apply_patch(a, as_json_patch(diff(a, b))) == b
    assert bool(jsonpatch.make_patch(a, b).patch) == bool(diff(a, b))


@given(snapshots())
def test_nothing_differs_from_itself(a: Snapshot) -> None:
    assert diff(a, a) == []


def test_a_change_that_expects_another_value_does_not_apply() -> None:
    with pytest.raises(DoesNotApply, match="gain of control x is not as the change expects it"):
        apply({"x": {"kind": "control", "gain": "3"}}, [Change("x", "control", "gain", "2", "4")])


def test_apply_leaves_its_argument_alone() -> None:
    before: Snapshot = {"x": {"kind": "unit", "name": "a"}}
    apply(before, [Change("x", "unit", "name", "a", "b")])
    assert before == {"x": {"kind": "unit", "name": "a"}}
