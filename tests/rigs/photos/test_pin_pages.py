"""Place, move, renumber and put away pins; see a photo with them; compare two photos."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.urls import reverse

from rigs.changes.edits import Set
from rigs.models import Photo, Pin
from rigs.retire.services import retire_edits
from tests.rigs.photos.pinning import add_photo, add_pin
from tests.support.pages import queries_of
from tests.support.rig_pages import Page, as_user, at
from tests.support.world import World, make_world


@pytest.fixture(autouse=True)
def own_folder(settings: Any, tmp_path: Any) -> None:
    settings.MEDIA_ROOT = tmp_path


@pytest.fixture
def photo(world: World) -> Photo:
    return add_photo(world, about=world.unit.pk)


def page_of(world: World, name: str, *parts: Any, query: str = "") -> Page:
    world.rig.refresh_from_db()
    return Page(as_user(world.tech), at(world, name, *parts) + query)


def words_of(html: str) -> str:
    return " ".join(html.split())


def test_a_pin_is_placed_in_per_cent(world: World, photo: Photo) -> None:
    sent = page_of(world, "pin_new", photo).send(
        x="43.25", y="12.5", about=str(world.control.pk), words="the left one"
    )
    assert sent.response.headers["Location"] == at(world, "photo", photo) + "#pins"
    pin = Pin.objects.get()
    assert (pin.x, pin.y, pin.position) == (Decimal("0.4325"), Decimal("0.125"), 1)
    assert (pin.about, pin.words, pin.photo) == (world.control.pk, "the left one", photo)


def test_the_next_pin_is_one_touch_away(world: World, photo: Photo) -> None:
    sent = page_of(world, "pin_new", photo).send(words="one", another="1")
    assert sent.response.headers["Location"] == at(world, "pin_new", photo)
    page_of(world, "pin_new", photo).send(words="two")
    assert list(Pin.objects.order_by("position").values_list("words", "position")) == [
        ("one", 1),
        ("two", 2),
    ]


@pytest.mark.parametrize("typed", ["-1", "100.01", "left", "", "NaN", "1e99", "-0.01"])
def test_a_place_off_the_picture_is_refused_and_the_rest_kept(
    world: World, photo: Photo, typed: str
) -> None:
    back = page_of(world, "pin_new", photo).send(x=typed, words="the switch")
    assert back.status == 200
    assert list(back.response.context["form"].errors) == ["x"]
    assert 'value="the switch"' in back.html
    assert not Pin.objects.exists()


def test_a_pin_that_shows_nothing_is_refused_at_its_words(world: World, photo: Photo) -> None:
    back = page_of(world, "pin_new", photo).send()
    assert back.response.context["form"].errors["words"] == [
        "Say what is there, or pick what the pin points at."
    ]


def test_what_the_photo_shows_is_offered_first(world: World, photo: Photo) -> None:
    groups = page_of(world, "pin_new", photo).response.context["form"].fields["about"].choices
    assert [group for group, _ in groups] == ["", "Head", "Inputs"]
    assert groups[1][1] == [
        (str(world.unit.pk), "Head as a whole"),
        (str(world.control.pk), "Gain"),
    ]
    of_input = add_photo(world, "The mic", about=world.input.pk, colour="navy")
    groups = page_of(world, "pin_new", of_input).response.context["form"].fields["about"].choices
    assert [group for group, _ in groups] == ["", "Inputs", "Head"]


def test_the_page_shows_each_pin_where_it_is_and_what_it_points_at(
    world: World, photo: Photo
) -> None:
    add_pin(world, photo, world.control, position=1)
    add_pin(world, photo, world.input, position=2, x="0.9", y="0.1")
    html = words_of(page_of(world, "photo", photo).html)
    assert 'x="25%" y="50%"' in html
    assert 'x="90%" y="10%"' in html
    assert 'aria-label="Pin 1: Gain: 2:30"' in html
    assert f'<a href="{at(world, "unit", world.unit)}">Gain</a>' in html
    assert f'<a href="{at(world, "input", world.input)}">7 Bass mic</a>' in html
    assert "style=" not in html


def test_words_on_pins_run_nothing(world: World, photo: Photo) -> None:
    add_pin(world, photo, words='"><script>alert(1)</script>')
    html = page_of(world, "photo", photo).html
    assert "<script>alert" not in html


def test_a_pin_is_moved_and_a_change_of_nothing_is_none(world: World, photo: Photo) -> None:
    pin = add_pin(world, photo, world.control)
    before = world.rig.head_number
    page_of(world, "pin_edit", pin).send()
    world.rig.refresh_from_db()
    assert world.rig.head_number == before
    page_of(world, "pin_edit", pin).send(x="26")
    pin.refresh_from_db()
    assert (pin.x, pin.y, pin.about) == (Decimal("0.26"), Decimal("0.5"), world.control.pk)


def test_two_people_on_one_pin_are_shown_both(world: World, photo: Photo) -> None:
    pin = add_pin(world, photo, world.control)
    page = page_of(world, "pin_edit", pin)
    world.record(Set(str(pin.pk), "pin", {"x": "0.9"}), author=world.engineer)
    back = page.send(x="10", words="mine")
    assert back.status == 409
    (panel,) = back.response.context["form"].panels
    assert (panel.label, panel.typed, panel.now) == (
        "Where it is",
        "10 % from the left, 50 % from the top",
        "90 % from the left, 50 % from the top",
    )
    assert panel.who == world.engineer.name
    back.send(choice__x="typed")
    pin.refresh_from_db()
    assert (pin.x, pin.words) == (Decimal("0.1"), "mine")


def test_a_pin_that_went_meanwhile_can_be_brought_back_with_what_was_typed(
    world: World, photo: Photo
) -> None:
    pin = add_pin(world, photo, world.control)
    page = page_of(world, "pin_edit", pin)
    world.record(*retire_edits(pin), author=world.engineer)
    back = page.send(words="with the light on")
    assert back.status == 409
    back.send()
    pin.refresh_from_db()
    assert (pin.retired, pin.words) == (False, "with the light on")


def test_pins_are_renumbered_and_put_away(world: World, photo: Photo) -> None:
    add_pin(world, photo, words="a", position=1)
    second = add_pin(world, photo, words="b", position=2)
    client = as_user(world.tech)
    client.post(at(world, "pins_order", photo), {"pin": str(second.pk), "direction": "up"})
    shown = client.get(at(world, "photo", photo)).context["shown"]
    assert [(pin.number, pin.words) for pin in shown.pins] == [(1, "b"), (2, "a")]
    page_of(world, "pin_retire", second).send()
    shown = client.get(at(world, "photo", photo)).context["shown"]
    assert [(pin.number, pin.words) for pin in shown.pins] == [(1, "a")]
    client.post(at(world, "pin_retire", second), {"back": "1"})
    assert Pin.objects.live().count() == 2


def test_pins_are_told_apart_before_they_are_put_away(world: World, photo: Photo) -> None:
    first = add_pin(world, photo, world.control, position=1)
    add_pin(world, photo, world.input, position=2, words="clear of the handle")
    client = as_user(world.tech)
    alone = words_of(client.get(at(world, "pin_retire", first)).content.decode())
    assert "Retire “pin 1, Gain”?" in alone
    together = words_of(client.get(at(world, "photo_retire", photo)).content.decode())
    assert "<li>Pin 1, Gain</li> <li>Pin 2, 7 Bass mic, clear of the handle</li>" in together


def test_the_page_that_asks_has_the_same_queries_for_many_pins(world: World, photo: Photo) -> None:
    client, url = as_user(world.tech), at(world, "photo_retire", photo)
    add_pin(world, photo, world.control, position=1)
    few = queries_of(client, url)
    for number in range(2, 8):
        add_pin(world, photo, world.input, position=number)
    assert queries_of(client, url) == few


def test_a_pin_of_another_photo_is_not_moved_under_this_one(world: World, photo: Photo) -> None:
    other = add_photo(world, "Elsewhere", colour="navy")
    pin = add_pin(world, other, words="a")
    client = as_user(world.tech)
    answer = client.post(at(world, "pins_order", photo), {"pin": str(pin.pk), "direction": "up"})
    assert answer.status_code == 404


def test_the_photo_of_a_past_state_has_the_pins_and_settings_of_then(
    world: World, photo: Photo
) -> None:
    add_pin(world, photo, world.control)
    then = world.rig.head_number
    world.turn("4:00")
    html = words_of(page_of(world, "photo", photo, query=f"?at={then}").html)
    assert "2:30" in html
    assert "4:00" not in html
    client = as_user(world.tech)
    for wrong in (1, 999, 0):  # before it was brought, and numbers that are none
        assert client.get(at(world, "photo", photo) + f"?at={wrong}").status_code == 404


def test_a_retired_photo_can_be_looked_at_and_brought_back(world: World, photo: Photo) -> None:
    add_pin(world, photo, world.control)
    world.record(*retire_edits(photo))
    page = page_of(world, "photo", photo)
    assert page.status == 200
    assert "restores its pins" in page.html
    page.client.post(at(world, "photo_retire", photo), {"back": "1"})
    assert Pin.objects.live().count() == 1


def test_pages_say_where_things_are_seen(world: World, photo: Photo) -> None:
    add_pin(world, photo, world.control, position=1)
    add_pin(world, photo, world.input, position=2)
    unit = words_of(page_of(world, "unit", world.unit).html)
    link = f"{at(world, 'photo', photo)}#pin-1"
    assert f'Gain: <a href="{link}">pin 1 on “Front of the head”</a>' in unit
    assert "2 pins" in unit
    entry = words_of(page_of(world, "input", world.input).html)
    assert "pin 2 on “Front of the head”" in entry
    assert "2 pins" in words_of(page_of(world, "rig").html)


def test_queries_do_not_grow_with_the_pins(world: World, photo: Photo) -> None:
    add_pin(world, photo, world.control)
    client = as_user(world.tech)
    pages = [at(world, name, photo) for name in ("photo", "pin_new")] + [at(world, "rig")]
    few = [queries_of(client, url) for url in pages]
    for n in range(12):
        add_pin(world, photo, world.input, position=n)
    assert [queries_of(client, url) for url in pages] == few


def test_two_photos_are_shown_with_the_earlier_first(world: World, photo: Photo) -> None:
    later = add_photo(world, "After the repair", about=world.unit.pk, colour="navy")
    add_photo(world, "Another thing", about=world.input.pk, colour="green")
    page = page_of(world, "photos_beside", later)
    assert [each.photo for each in page.response.context["pair"]] == [photo, later]
    html = words_of(page.html)
    assert html.index("Earlier") < html.index("Later")
    assert "Change 2" in html
    assert "Change 3" in html
    assert world.tech.name in html
    assert "Another thing" not in html


def test_the_photo_to_compare_with_is_picked_and_may_be_put_away(
    world: World, photo: Photo
) -> None:
    middle = add_photo(world, "Halfway", about=world.unit.pk, colour="green")
    later = add_photo(world, "After", about=world.unit.pk, colour="navy")
    world.record(*retire_edits(photo))
    page = page_of(world, "photos_beside", later)
    assert page.response.context["other"] == middle  # the nearest in time
    page = page_of(world, "photos_beside", later, query=f"?with={photo.pk}")
    assert [each.photo for each in page.response.context["pair"]] == [photo, later]
    assert "retired" in page.html
    assert page_of(world, "photos_beside", later, query="?with=nonsense").status == 200


def test_a_photo_alone_has_nothing_beside_it(world: World, photo: Photo) -> None:
    assert "Nothing to compare with" in page_of(world, "photos_beside", photo).html


def test_nobody_else_sees_or_pins_a_photo(world: World, photo: Photo) -> None:
    other = make_world("Elsewhere")
    pin = add_pin(world, photo, words="a")
    for name, part in (("photo", photo), ("photos_beside", photo), ("pin_edit", pin)):
        url = at(world, name, part)
        assert as_user(other.engineer).get(url).status_code == 404
        own = reverse(f"rigs:{name}", args=[other.production.pk, other.rig.pk, part.pk])
        assert as_user(other.engineer).get(own).status_code == 404
