"""Pins are parts of a rig like any other: kept in its history, never left pointing at nothing."""

from __future__ import annotations

from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.core.exceptions import ValidationError
from hypothesis import HealthCheck, given
from hypothesis import settings as examples
from hypothesis import strategies as st

from rigs.changes.edits import Add, Retire, Set
from rigs.editing.ordering import move
from rigs.models import Control, Input, Photo, Pin, Revision, Rig, Unit
from rigs.overview.copy import copy_rig
from rigs.retire.services import bring_back, retire_edits
from rigs.revisions.read import as_of, live
from rigs.revisions.record import Conflict, restore
from rigs.revisions.verify import verify_rig
from rigs.wording import RigView, describe, grouped, snapshot_view
from tests.rigs.photos.pinning import add_photo, add_pin
from tests.support.world import HIRE, World, make_world


@pytest.fixture(autouse=True)
def own_folder(settings: Any, tmp_path: Any) -> None:
    settings.MEDIA_ROOT = tmp_path


@pytest.fixture
def photo(world: World) -> Photo:
    return add_photo(world, about=world.unit.pk)


def view_of(rig: Rig) -> RigView:
    rig.refresh_from_db()
    return snapshot_view(rig, live(rig))


def numbers(world: World, photo: Photo) -> dict[str, int]:
    found = view_of(world.rig).photo(photo.pk)
    assert found is not None
    return {pin.words: pin.number for pin in found.pins}


def lines(revision: Revision | None) -> list[str]:
    assert revision is not None
    return [line.sentence for line in describe(revision.rig, revision.changes.all())]


def test_a_pin_says_what_it_points_at_and_how_that_stands(world: World, photo: Photo) -> None:
    add_pin(world, photo, world.control, position=1)
    add_pin(world, photo, world.input, position=2, words="clear of the handle")
    add_pin(world, photo, world.unit, position=3)
    add_pin(world, photo, position=4, words="spare fuse taped here")
    found = view_of(world.rig).photo(photo.pk)
    assert found is not None
    assert [(pin.number, pin.legend) for pin in found.pins] == [
        (1, "Gain: 2:30"),
        (
            2,
            "7 Bass mic: Corvane Hollow 2, cone edge, 35 mm (1.4 in) from grille, 20° off axis "
            "(clear of the handle)",
        ),
        (3, "Head: Tarn"),
        (4, "spare fuse taped here"),
    ]


def test_a_control_is_named_with_its_unit_where_the_photo_shows_more(world: World) -> None:
    whole = add_photo(world, "The whole rig")
    add_pin(world, whole, world.control)
    found = view_of(world.rig).photo(whole.pk)
    assert found is not None
    assert found.pins[0].legend == "Gain of Head: 2:30"


def test_what_is_pinned_knows_where_it_is_seen(world: World, photo: Photo) -> None:
    add_pin(world, photo, world.control, position=1)
    add_pin(world, photo, world.input, position=2)
    view = view_of(world.rig)
    (control,), (entry,) = view.units[0].controls, view.inputs
    assert [(p.photo_name, p.number) for p in control.seen_on] == [("Front of the head", 1)]
    assert [(p.photo, p.number) for p in entry.seen_on] == [(str(photo.pk), 2)]
    assert view.units[0].seen_on == ()


def test_pins_cost_a_view_no_query(
    world: World, photo: Photo, django_assert_max_num_queries: Any
) -> None:
    for n in range(20):
        add_pin(world, photo, world.control, position=n)
    world.rig.refresh_from_db()
    state = live(world.rig)
    # Names of devices, players picked up, what devices are, sizes of pictures.
    with django_assert_max_num_queries(4):
        snapshot_view(world.rig, state)


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"x": "1.0001"}, "x"),
        ({"y": "-0.1"}, "y"),
        ({"x": None}, "x"),
        ({"x": "left"}, "x"),
        ({"x": "0.12345"}, "x"),
        ({"y": "NaN"}, "y"),
        ({"words": ""}, "words"),
        ({"about": str(uuid4())}, "about"),
        ({"photo": str(uuid4())}, "photo"),
        ({"photo": None}, "photo"),
    ],
)
def test_what_cannot_be_is_refused(
    world: World, photo: Photo, wrong: dict[str, Any], field: str
) -> None:
    with pytest.raises(ValidationError) as refused:
        add_pin(world, photo, **({"words": "here"} | wrong))
    assert list(refused.value.message_dict) == [field]


def test_a_pin_points_into_its_own_rig_only(world: World, photo: Photo) -> None:
    other = make_world("Elsewhere")
    with pytest.raises(ValidationError, match="no such unit, control or input"):
        add_pin(world, photo, other.control)
    with pytest.raises(ValidationError, match="no such photo"):
        add_pin(world, add_photo(other), words="here")


FRACTIONS = st.decimals("0", "1", places=4)


@examples(max_examples=25, suppress_health_check=list(HealthCheck))
@given(x=FRACTIONS, y=FRACTIONS)
def test_any_place_reads_back_as_it_was_put(db: None, x: Decimal, y: Decimal) -> None:
    """Through the history, the tables and the view."""
    world = make_world(f"W {uuid4()}")
    photo = add_photo(world)
    pin = add_pin(world, photo, x=x, y=y, words="here")
    assert (pin.x, pin.y) == (x, y)
    kept = as_of(world.rig, world.rig.head_number)[str(pin.pk)]
    assert (Decimal(str(kept["x"])), Decimal(str(kept["y"]))) == (x, y)
    found = view_of(world.rig).photo(photo.pk)
    assert found is not None
    assert (found.pins[0].x, found.pins[0].y) == (x, y)
    assert verify_rig(world.rig) == world.rig.head_number


@examples(max_examples=15, suppress_health_check=list(HealthCheck))
@given(steps=st.lists(st.tuples(st.integers(0, 4), st.sampled_from(["up", "down"])), max_size=8))
def test_renumbering_keeps_every_pin(db: None, steps: list[tuple[int, Any]]) -> None:
    """Moving is a permutation: the model is a list with two neighbours swapped."""
    world = make_world(f"W {uuid4()}")
    photo = add_photo(world)
    pins = [add_pin(world, photo, words=f"pin {n}", position=n + 1) for n in range(5)]
    model = [pin.words for pin in pins]
    for which, direction in steps:
        at = model.index(f"pin {which}")
        to = at - 1 if direction == "up" else at + 1
        assert move(rig=world.rig, part=pins[which], direction=direction, author=world.tech) == (
            0 <= to < 5
        )
        if 0 <= to < 5:
            model[at], model[to] = model[to], model[at]
    assert numbers(world, photo) == {words: n for n, words in enumerate(model, start=1)}


def test_pins_of_two_photos_are_numbered_apart(world: World, photo: Photo) -> None:
    back = add_photo(world, "Back of the head", colour="navy")
    add_pin(world, photo, words="a", position=1)
    add_pin(world, back, words="b", position=1)
    second = add_pin(world, back, words="c", position=2)
    move(rig=world.rig, part=second, direction="up", author=world.tech)
    assert numbers(world, photo) == {"a": 1}
    assert numbers(world, back) == {"c": 1, "b": 2}


def test_changes_of_pins_read_in_words(world: World, photo: Photo) -> None:
    add_pin(world, photo, words="power switch", position=1)
    pin = add_pin(world, photo, world.control, position=2)
    added = Revision.objects.latest("number")
    assert lines(added) == ["photo “Front of the head”, pin 2 was added: Gain of Head"]
    moved = world.record(Set(str(pin.pk), "pin", {"x": "0.4325", "about": str(world.input.pk)}))
    assert lines(moved) == [
        "photo “Front of the head”, pin 2, points at: Gain of Head → 7 Bass mic",
        "photo “Front of the head”, pin 2, from the left: 25 % → 43.25 %",
    ]
    gone = world.record(Retire(str(pin.pk), "pin"))
    assert lines(gone) == ["photo “Front of the head”, pin was retired"]
    (group,) = grouped(describe(world.rig, moved.changes.all()))  # type: ignore[union-attr]
    assert group.name == "photo “Front of the head”"


def test_a_state_of_the_past_has_the_pins_it_had(world: World, photo: Photo) -> None:
    pin = add_pin(world, photo, world.control)
    before = world.rig.head_number
    world.record(Set(str(pin.pk), "pin", {"x": "0.9"}))
    world.turn("4:00")
    then = snapshot_view(world.rig, as_of(world.rig, before)).photo(photo.pk)
    assert then is not None
    assert [(p.x, p.now) for p in then.pins] == [(Decimal("0.25"), "2:30")]
    restore(world.rig, before, author=world.tech)
    assert Pin.objects.get().x == Decimal("0.25")


def test_a_restore_brings_retired_pins_back(world: World, photo: Photo) -> None:
    add_pin(world, photo, world.control)
    before = world.rig.head_number
    world.record(*retire_edits(photo))
    world.rig.refresh_from_db()
    restore(world.rig, before, author=world.tech)
    assert Pin.objects.live().count() == 1
    assert verify_rig(world.rig) == world.rig.head_number


def test_two_people_on_one_pin(world: World, photo: Photo) -> None:
    pin = add_pin(world, photo, world.control)
    base = world.rig.head_number
    part = str(pin.pk)
    world.record(Set(part, "pin", {"x": "0.9"}), author=world.engineer)
    world.record(Set(part, "pin", {"words": "with the light on"}), base=base)
    pin.refresh_from_db()
    assert (pin.x, pin.words) == (Decimal("0.9"), "with the light on")
    with pytest.raises(Conflict) as conflict:
        world.record(Set(part, "pin", {"x": "0.1"}), base=base)
    (clash,) = conflict.value.clashes
    assert (clash.base, clash.now, clash.typed) == ("0.25", "0.9", "0.1")


def test_half_a_change_on_each_side_may_not_leave_a_pin_saying_nothing(
    world: World, photo: Photo
) -> None:
    pin = add_pin(world, photo, world.control, words="bright")
    base = world.rig.head_number
    world.record(Set(str(pin.pk), "pin", {"about": None}))
    with pytest.raises(ValidationError, match="Say what is there"):
        world.record(Set(str(pin.pk), "pin", {"words": ""}), base=base)


def put_away(world: World, part: Any, **more: Any) -> None:
    world.record(*retire_edits(part), **more)
    world.rig.refresh_from_db()


def test_pins_go_with_their_photo_and_come_back_with_it(world: World, photo: Photo) -> None:
    add_pin(world, photo, world.control)
    add_pin(world, photo, words="here")
    put_away(world, photo)
    assert not Pin.objects.live().exists()
    bring_back(rig=world.rig, part=Photo.objects.get(), author=world.tech)
    assert Pin.objects.live().count() == 2


def test_pins_go_with_what_they_point_at_and_come_back_with_it(world: World, photo: Photo) -> None:
    add_pin(world, photo, world.control)
    add_pin(world, photo, words="stays")
    put_away(world, world.control)
    assert [pin.words for pin in Pin.objects.live()] == ["stays"]
    bring_back(rig=world.rig, part=Control.objects.get(), author=world.tech)
    assert Pin.objects.live().count() == 2


def test_a_unit_takes_the_pins_of_its_controls_and_photos_along(world: World, photo: Photo) -> None:
    whole = add_photo(world, "The whole rig", colour="navy")
    add_pin(world, photo, words="on the unit's photo")
    add_pin(world, whole, world.control)
    add_pin(world, whole, words="stays")
    put_away(world, Input.objects.get(), reason=HIRE)
    put_away(world, world.unit)
    assert [pin.words for pin in Pin.objects.live()] == ["stays"]
    bring_back(rig=world.rig, part=Unit.objects.get(), author=world.tech)
    assert Pin.objects.live().count() == 3
    assert verify_rig(world.rig) == world.rig.head_number


def test_a_pin_whose_photo_went_meanwhile_stays_away(world: World, photo: Photo) -> None:
    add_pin(world, photo, world.control)
    put_away(world, world.control)
    put_away(world, photo)
    bring_back(rig=world.rig, part=Control.objects.get(), author=world.tech)
    assert Control.objects.live().count() == 1
    assert not Pin.objects.live().exists()


def test_a_photo_does_not_go_from_under_a_pin_unsaid(world: World, photo: Photo) -> None:
    add_pin(world, photo, world.control)
    with pytest.raises(ValidationError, match="Pin “on Front of the head” still belongs to it"):
        world.record(Retire(str(photo.pk), "photo"))


def test_a_copied_rig_has_its_own_pins(world: World, photo: Photo) -> None:
    pin = add_pin(world, photo, world.control, words="bright")
    made = copy_rig(
        rig=world.rig, name="Spare", variant="spare", player=world.player, author=world.tech
    )
    copied = Pin.objects.exclude(pk=pin.pk).get()
    assert (copied.rig, copied.photo.rig, copied.words) == (made, made, "bright")
    assert copied.about == Control.objects.get(rig=made).pk
    assert verify_rig(made) == made.head_number


def test_an_id_of_a_pin_is_used_once(world: World, photo: Photo) -> None:
    pin = add_pin(world, photo, words="here")
    world.record(Retire(str(pin.pk), "pin"))
    with pytest.raises(ValidationError):
        world.record(Add(str(pin.pk), "unit", {"name": "Not a pin"}))
