"""Two people moving one pin: it ends up where one of them put it, never between."""

from __future__ import annotations

from typing import Any

import pytest

from rigs.changes.edits import Set
from rigs.models import Pin
from rigs.revisions.record import Conflict, record
from tests.rigs.photos.pinning import add_photo, add_pin
from tests.support.pages import as_user
from tests.support.rig_pages import Page, at
from tests.support.world import World

pytestmark = pytest.mark.django_db


@pytest.fixture
def pin(world: World, settings: Any, tmp_path: Any) -> Pin:
    settings.MEDIA_ROOT = tmp_path
    return add_pin(world, add_photo(world, about=world.unit.pk), words="here", x="0.2", y="0.5")


def moved_meanwhile(world: World, pin: Pin, /, **fields: str) -> None:
    world.record(Set(str(pin.pk), "pin", fields), author=world.engineer)


def spot(pin: Pin) -> tuple[str, str]:
    pin.refresh_from_db()
    return str(pin.x.normalize()), str(pin.y.normalize())


def test_one_sideways_and_one_down_is_a_question_about_the_spot(world: World, pin: Pin) -> None:
    page = Page(as_user(world.tech), at(world, "pin_edit", pin))
    moved_meanwhile(world, pin, x="0.7")
    back = page.send(y="80", words="the left one")
    assert back.status == 409
    (panel,) = back.response.context["form"].panels
    assert panel.label == "Where it is"
    assert panel.typed == "20 % from the left, 80 % from the top"
    assert panel.now == "70 % from the left, 50 % from the top"
    assert panel.who == world.engineer.name
    assert spot(pin) == ("0.7", "0.5")
    assert 'name="x" value="20"' in back.html.replace('type="hidden" ', "")
    assert back.sent["words"] == "the left one"


@pytest.mark.parametrize(
    ("choice", "spotted"), [("typed", ("0.2", "0.8")), ("now", ("0.7", "0.5"))]
)
def test_either_choice_is_a_whole_spot(
    world: World, pin: Pin, choice: str, spotted: tuple[str, str]
) -> None:
    page = Page(as_user(world.tech), at(world, "pin_edit", pin))
    moved_meanwhile(world, pin, x="0.7")
    back = page.send(y="80", words="the left one")
    assert back.send(choice__x=choice).status == 302
    assert spot(pin) == spotted
    assert pin.words == "the left one"


def test_without_a_choice_the_question_stays(world: World, pin: Pin) -> None:
    page = Page(as_user(world.tech), at(world, "pin_edit", pin))
    moved_meanwhile(world, pin, y="0.9")
    again = page.send(x="30").send()
    (panel,) = again.response.context["form"].panels
    assert panel.errors == ["Choose which of the two stays."]
    assert panel.typed == "30 % from the left, 50 % from the top"
    assert again.send(choice__x="typed").status == 302
    assert spot(pin) == ("0.3", "0.5")


def test_both_spots_are_seen_on_the_picture(world: World, pin: Pin) -> None:
    page = Page(as_user(world.tech), at(world, "pin_edit", pin))
    assert page.html.count('class="pin"') == 0
    moved_meanwhile(world, pin, x="0.7")
    back = page.send(y="80")
    assert back.html.count('class="pin"') == 1
    assert back.html.count('class="pin is-draft"') == 1
    assert "The dashed pin is where you put it" in back.html


def test_other_words_and_another_spot_are_brought_together(world: World, pin: Pin) -> None:
    page = Page(as_user(world.tech), at(world, "pin_edit", pin))
    moved_meanwhile(world, pin, words="the switch")
    assert page.send(x="30", y="40").status == 302
    assert spot(pin) == ("0.3", "0.4")
    assert pin.words == "the switch"


def test_the_same_spot_twice_is_no_question(world: World, pin: Pin) -> None:
    page = Page(as_user(world.tech), at(world, "pin_edit", pin))
    moved_meanwhile(world, pin, x="0.3", y="0.4")
    assert page.send(x="30", y="40").status == 302


def test_the_gateway_tells_the_whole_spot(world: World, pin: Pin) -> None:
    world.rig.refresh_from_db()
    base = world.rig.head_number
    moved_meanwhile(world, pin, x="0.7")
    edit = Set(str(pin.pk), "pin", {"y": "0.8"})
    with pytest.raises(Conflict) as caught:
        record(world.rig, [edit], author=world.tech, base=base)
    told = {(c.field, c.base, c.now, c.typed) for c in caught.value.clashes}
    assert told == {("x", "0.2", "0.7", "0.2"), ("y", "0.5", "0.5", "0.8")}
