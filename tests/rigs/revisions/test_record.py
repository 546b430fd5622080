"""The gateway: what it writes, merges, refuses."""

from __future__ import annotations

import pytest
from django.core.exceptions import ValidationError

from rigs.changes.edits import Retire, Set
from rigs.changes.reasons import Reason, ReasonKind, ReasonRequired
from rigs.models import Control, Input, Revision, Unit
from rigs.models.parts import WrittenAroundGateway
from rigs.revisions.read import as_of, live
from rigs.revisions.record import Conflict, restore
from tests.support.world import HIRE, World


def test_an_edit_writes_one_revision_with_what_changed(world: World) -> None:
    revision = world.turn("3:00")
    assert revision is not None
    assert revision.number == 2
    assert [(r.field, r.old, r.new) for r in revision.changes.all()] == [
        ("setting", "2:30", "3:00")
    ]
    assert Control.objects.get().setting == "3:00"


def test_an_edit_that_changes_nothing_writes_nothing(world: World) -> None:
    assert world.turn("2.30") is None
    assert Revision.objects.count() == 1


def test_edits_of_different_fields_on_one_base_are_both_kept(world: World) -> None:
    world.turn("3:00", base=1)
    world.record(Set(str(world.unit.pk), "unit", {"name": "Top"}), base=1, author=world.engineer)
    assert Control.objects.get().setting == "3:00"
    assert Unit.objects.get().name == "Top"


def test_the_same_field_changed_on_both_sides_is_a_conflict_with_both_values(world: World) -> None:
    world.turn("3:00", base=1)
    with pytest.raises(Conflict) as caught:
        world.turn("1:00", base=1)
    (clash,) = caught.value.clashes
    assert (clash.base, clash.now, clash.typed) == ("2:30", "3:00", "1:00")
    assert Control.objects.get().setting == "3:00"


def test_both_sides_setting_the_same_value_is_no_conflict(world: World) -> None:
    world.turn("3:00", base=1)
    assert world.turn("3:00", base=1) is None


def test_swapping_a_documented_microphone_without_reason_is_refused(world: World) -> None:
    with pytest.raises(ReasonRequired, match="needs a reason"):
        world.swap(world.other_mic)
    assert Input.objects.get().device == world.mic


@pytest.mark.parametrize("name", ["height_m", "offset_m", "plan_right_m", "plan_front_m"])
def test_a_length_is_documented_freely_and_moved_with_a_reason(world: World, name: str) -> None:
    part = str(world.input.pk)
    world.record(Set(part, "input", {name: "0.3"}))
    with pytest.raises(ReasonRequired, match="needs a reason"):
        world.record(Set(part, "input", {name: "0.4"}))
    with pytest.raises(ReasonRequired):
        world.record(Set(part, "input", {name: None}))
    assert world.record(Set(part, "input", {name: "0.4"}), reason=HIRE) is not None


def test_retiring_a_documented_input_without_reason_is_refused(world: World) -> None:
    with pytest.raises(ReasonRequired, match="needs a reason"):
        world.record(Retire(str(world.input.pk), "input"))
    assert not Input.objects.get().retired


def test_a_stated_circumstance_is_a_reason(world: World) -> None:
    revision = world.swap(world.other_mic, HIRE)
    assert revision is not None
    assert Input.objects.get().device == world.other_mic
    assert (revision.reason_kind, revision.reason_words) == ("hire", "Ours is in repair.")


def test_a_circumstance_without_words_is_refused(world: World) -> None:
    with pytest.raises(ReasonRequired, match="Say in a few words"):
        world.swap(world.other_mic, Reason(ReasonKind.FAILURE, "  "))


def test_retiring_a_unit_that_is_still_pointed_at_is_refused(world: World) -> None:
    with pytest.raises(ValidationError, match="Control “Gain” still belongs to it"):
        world.record(Retire(str(world.unit.pk), "unit"))


def test_values_that_cannot_be_are_refused_at_their_field(world: World) -> None:
    with pytest.raises(ValidationError) as caught:
        world.turn("8 o'clock and a half")
    assert "is not a clock position" in caught.value.message_dict["setting"][0]


def test_another_productions_device_is_refused(world: World) -> None:
    from tests.support.world import make_world

    other = make_world("Elsewhere")
    with pytest.raises(ValidationError) as caught:
        world.swap(other.mic, HIRE)
    assert caught.value.message_dict == {"device": ["This rig has no such device any more."]}


def test_restore_gives_back_the_exact_state(world: World) -> None:
    then = as_of(world.rig, 1)
    world.turn("3:00")
    world.record(
        Retire(str(world.control.pk), "control"),
        Retire(str(world.input.pk), "input"),
        Retire(str(world.unit.pk), "unit"),
        reason=HIRE,
    )
    world.rig.refresh_from_db()
    restore(world.rig, 1, author=world.engineer, reason=HIRE)
    world.rig.refresh_from_db()
    assert live(world.rig) == then == as_of(world.rig, 4)


def test_saving_a_part_around_the_gateway_is_refused(world: World) -> None:
    world.control.setting = "5:00"
    with pytest.raises(WrittenAroundGateway, match="notes who, when and why"):
        world.control.save()
    with pytest.raises(WrittenAroundGateway):
        Control.objects.update(setting="5:00")
