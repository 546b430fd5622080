"""What the gateway refuses, whoever asks: a form's own limits are not the only ones."""

from __future__ import annotations

from uuid import uuid4

import pytest
from django.core.exceptions import ValidationError

from rigs.changes.edits import Add, Retire, Set
from rigs.models import Revision
from tests.support.world import World


def refused(world: World, edit: Add | Set) -> ValidationError:
    with pytest.raises(ValidationError) as caught:
        world.record(edit)
    assert Revision.objects.filter(rig=world.rig).count() == 1
    return caught.value


def test_a_text_longer_than_its_field(world: World) -> None:
    error = refused(world, Set(str(world.rig.pk), "rig", {"sound": "x" * 4001}))
    assert error.message_dict == {
        "sound": ["Ensure this value has at most 4000 characters (it has 4001)."]
    }


@pytest.mark.parametrize(("field", "value"), [("name", True), ("gain_db", True), ("pan", False)])
def test_yes_or_no_where_something_else_belongs(world: World, field: str, value: bool) -> None:
    error = refused(world, Set(str(world.input.pk), "input", {field: value}))
    assert error.message_dict == {field: ["Yes or no is not a value for this."]}


def test_a_new_part_under_the_id_of_a_part_of_another_kind(world: World) -> None:
    error = refused(world, Add(str(world.unit.pk), "input", {"name": "Ghost"}))
    assert error.messages == ["A new part needs an id that no part has had."]


def test_a_part_that_left_comes_back_under_its_own_id(world: World) -> None:
    part = str(uuid4())
    world.record(Add(part, "unit", {"name": "Tuner"}))
    world.record(Retire(part, "unit"))
    assert world.record(Add(part, "unit", {"name": "Tuner"})) is not None
