"""Several authors on stale bases, through the real gateway and the real database."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from rigs.changes.diff import apply, diff
from rigs.changes.edits import Add, Edit, Retire, Set
from rigs.changes.reasons import Reason, ReasonKind
from rigs.models import ChangeRow, Rig
from rigs.revisions.read import as_of, live
from rigs.revisions.record import Conflict, record, restore
from rigs.revisions.verify import verify_rig
from tests.support.world import World, make_world

pytestmark = pytest.mark.django_db
ROOM = Reason(ReasonKind.ROOM, "Low ceiling.")
# How far behind the newest revision an author's page is, and what they type on it.
STEP = st.tuples(
    st.integers(0, 3),
    st.sampled_from(["setting", "name", "aimed_at", "swap", "add", "retire"]),
    st.integers(0, 4),
)
SETTINGS = ["1:00", "2:30", "3:00", "9:30", "12:00"]


def edit_of(world: World, what: str, choice: int) -> Edit:
    control, entry = str(world.control.pk), str(world.input.pk)
    new = f"00000000-0000-4000-8000-00000000000{choice}"
    edits: dict[str, Edit] = {
        "setting": Set(control, "control", {"setting": SETTINGS[choice]}),
        "name": Set(str(world.unit.pk), "unit", {"name": f"Head {choice}"}),
        "aimed_at": Set(entry, "input", {"aimed_at": f"spot {choice}"}),
        "swap": Set(entry, "input", {"device": str([world.mic, world.other_mic][choice % 2].pk)}),
        "add": Add(new, "unit", {"name": f"Pedal {choice}", "gear": "pedal"}),
        "retire": Retire(control, "control"),
    }
    return edits[what]


def play(world: World, steps: list[tuple[int, str, int]]) -> list[tuple[Edit, str]]:
    """Run the steps; what became of each edit: written, nothing to write, or a conflict."""
    outcomes = []
    for behind, what, choice in steps:
        world.rig.refresh_from_db()
        edit = edit_of(world, what, choice)
        base = max(1, world.rig.head_number - behind)
        if not isinstance(edit, Add) and edit.part not in as_of(world.rig, base):
            continue  # nobody can type into a part that their page did not show
        try:
            written = record(world.rig, [edit], author=world.tech, base=base, reason=ROOM)
            outcomes.append((edit, "written" if written else "nothing"))
        except Conflict as conflict:
            shown = [clash.typed for clash in conflict.clashes]
            outcomes.append((edit, "conflict" if shown_whole(edit, shown) else "lost"))
    world.rig.refresh_from_db()
    return outcomes


def shown_whole(edit: Edit, shown: list[Any]) -> bool:
    """Whether a conflict shows every value that the edit typed."""
    if isinstance(edit, Retire):
        return shown == [None]
    flat = [v for s in shown for v in (s.values() if isinstance(s, dict) else [s])]
    return all(value in flat for value in edit.fields.values())


def ever_held(rig: Rig, edit: Edit) -> bool:
    """Whether the value an edit typed stands somewhere in the rig's history."""
    rows = ChangeRow.objects.filter(revision__rig=rig, part=edit.part)
    if isinstance(edit, Retire):
        return any(row.field == "" and row.new is None for row in rows)
    held: list[Any] = [row.new for row in rows]
    wanted = dict(edit.fields)
    return any(
        value in held or any(isinstance(h, dict) and h.get(name) == value for h in held)
        for name, value in wanted.items()
    )


@settings(max_examples=25, suppress_health_check=list(HealthCheck))
@given(st.lists(STEP, min_size=1, max_size=14))
def test_what_was_typed_is_kept_or_shown_and_the_chain_holds(
    steps: list[tuple[int, str, int]],
) -> None:
    with transaction.atomic():
        world = make_world()
        for edit, outcome in play(world, steps):
            assert outcome == "conflict" or ever_held(world.rig, edit)
        assert verify_rig(world.rig) == world.rig.head_number
        transaction.set_rollback(True)


@settings(max_examples=20, suppress_health_check=list(HealthCheck))
@given(st.lists(STEP, min_size=1, max_size=10), st.data())
def test_any_two_states_differ_by_their_difference_and_restore_is_exact(
    steps: list[tuple[int, str, int]], data: st.DataObject
) -> None:
    with transaction.atomic():
        world = make_world()
        play(world, steps)
        head = world.rig.head_number
        a, b = (as_of(world.rig, data.draw(st.integers(1, head))) for _ in "ab")
        assert apply(a, diff(a, b)) == b
        number = data.draw(st.integers(1, head))
        restore(world.rig, number, author=world.engineer, reason=ROOM)
        world.rig.refresh_from_db()
        assert live(world.rig) == as_of(world.rig, number)
        assert as_of(world.rig, world.rig.head_number) == as_of(world.rig, number)
        transaction.set_rollback(True)
