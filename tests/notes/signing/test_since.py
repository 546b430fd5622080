"""What differs since a state: largest first, at most forty, with who did it and why."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest

from notes.journal.reasons import change_because
from notes.models import Note
from notes.signing.since import LIMIT, since, since_revision
from rigs.changes.edits import Add, Set
from tests.support.world import HIRE, World


def _since(world: World, number: int = 1) -> Any:
    world.rig.refresh_from_db()
    return since_revision(world.rig, number)


def test_nothing_differs_from_the_newest(world: World) -> None:
    assert not _since(world)
    assert (_since(world).parts, _since(world).more) == ((), 0)


def test_turned_and_turned_back_differs_in_nothing(world: World) -> None:
    world.turn("3:00")
    world.turn("2:30")
    assert not _since(world)


def test_swaps_come_before_placement_before_controls_before_the_rest(world: World) -> None:
    world.record(Set(str(world.unit.pk), "unit", {"notes": "New valves."}))
    world.turn("3:00")
    place = Set(str(world.input.pk), "input", {"angle_deg": "45"})
    world.record(place, reason=HIRE)
    second = str(uuid4())
    world.record(Add(second, "input", {"number": 8, "name": "Bass DI"}))
    labels = [line.short for told in _since(world).parts for line in told.lines]
    assert labels == [
        "Was added",
        "Angle off axis: 20° → 45°",
        "Gain: 2:30 → 3:00",
        "Notes: nothing → New valves.",
    ]


def test_the_reason_and_the_note_behind_it_are_told(world: World) -> None:
    note = Note.objects.create(
        production=world.production,
        rig=world.rig,
        words="Too boomy.",
        verdict="adjust",
        said_by_player=world.player,
        written_by=world.engineer,
    )
    edit = Set(str(world.input.pk), "input", {"device": str(world.other_mic.pk)})
    change_because(world.rig, [edit], notes=[note], words="Less boom.", author=world.tech, base=1)
    (told,) = _since(world).parts
    (why,) = told.why
    assert told.name == "7 Bass mic"
    assert (why.revision.reason_words, list(why.notes)) == ("Less boom.", [note])


def test_a_length_and_its_unit_are_one_line(world: World) -> None:
    edit = Set(str(world.input.pk), "input", {"distance_m": "0.0254", "distance_unit": "in"})
    world.record(edit, reason=HIRE)
    found = _since(world)
    assert [line.short for told in found.parts for line in told.lines] == [
        "Distance: 35 mm (1.4 in) → 1 in (25 mm)"
    ]
    assert found.more == 0


def test_the_order_of_things_is_no_difference(world: World) -> None:
    world.record(Set(str(world.control.pk), "control", {"position": 4}))
    assert not _since(world)


def test_at_most_forty_are_told_and_the_rest_counted(world: World) -> None:
    unit = str(world.unit.pk)
    controls = [
        Add(str(uuid4()), "control", {"unit": unit, "name": f"K{n}", "setting": "1:00"})
        for n in range(LIMIT + 5)
    ]
    world.record(*controls)
    found = _since(world)
    assert sum(len(told.lines) for told in found.parts) == LIMIT == 40
    assert found.more == 5


@pytest.mark.parametrize("revisions", [10, 300])
def test_a_long_history_costs_no_more_queries(
    world: World, django_assert_num_queries: Any, revisions: int
) -> None:
    for number in range(revisions):
        world.turn(f"{number % 4 + 1}:00")
    world.swap(world.other_mic, HIRE)
    world.rig.refresh_from_db()
    # whole states of either end, and changes after the later one · keys of revisions · who touched
    # it last · scales · controls · inputs · units · devices · revisions
    with django_assert_num_queries(6):
        found = since([world.rig], {world.rig.pk: 1})[world.rig.pk]
    assert [line.short for told in found.parts for line in told.lines]
