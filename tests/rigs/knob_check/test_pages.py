"""A photo of now against the documented one: what the page says, and what is taken over."""

from __future__ import annotations

from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from rigs.changes.edits import Add, Set
from rigs.models import Control, Photo, Revision
from rigs.photos.prepare import prepare
from rigs.photos.services import add_photos
from rigs.settings_of_controls import Style, angle_of, setting_at
from tests.rigs.knob_check import pictures
from tests.rigs.photos.pinning import add_photo, add_pin
from tests.support.pages import queries_of
from tests.support.rig_pages import Page, as_user, at
from tests.support.world import World

# As BEFORE of the pictures: −60°, 20°, 110° and 0° from straight up.
SHOWN = ("10:00", "12:40", "3:40", "12:00")


@pytest.fixture(autouse=True)
def own_folder(settings: Any, tmp_path: Any) -> None:
    settings.MEDIA_ROOT = tmp_path


@pytest.fixture
def photo(world: World) -> Photo:
    """The drawn panel with four circled dials, documented as it stands on the photo."""
    drawn = pictures.photo(turns=pictures.BEFORE)
    stored = prepare(drawn.jpeg, max_bytes=10_000_000, max_pixels=10_000_000)
    add_photos(world.rig, [stored], about=world.unit.pk, caption="Front", author=world.tech)
    photo = Photo.objects.get()
    for i, (cap, setting) in enumerate(zip(pictures.circles(drawn), SHOWN, strict=True)):
        part = uuid4()
        fields = {"unit": str(world.unit.pk), "name": f"Dial {i}", "style": "clock"}
        world.record(Add(str(part), "control", {**fields, "setting": setting, "position": i + 5}))
        add_pin(
            world,
            photo,
            Control.objects.get(pk=part),
            x=f"{cap.x:.4f}",
            y=f"{cap.y:.4f}",
            cap_radius=f"{cap.radius:.4f}",
            cap_setting=setting,
            position=i,
        )
    return photo


def send(world: World, photo: Photo, data: bytes, by: Any = None) -> str:
    client = as_user(by or world.tech)
    file = SimpleUploadedFile("now.jpg", data, "image/jpeg")
    answer = client.post(at(world, "knob_check", photo), {"photos": file})
    assert answer.status_code == 200
    return " ".join(answer.content.decode().split())


def later() -> bytes:
    return pictures.photo(turns=pictures.AFTER, off=12.0).jpeg


def test_what_is_turned_is_told_and_nothing_is_written(world: World, photo: Photo) -> None:
    before = Revision.objects.count(), Photo.objects.count()
    html = send(world, photo, later(), by=world.people["crew"])
    assert html.count("As documented:") == 2
    # Dial 1 by 35° clockwise, Dial 3 by 12° the other way: what is 2° in a minute of four.
    assert "° clockwise: 12:40 → about 1:" in html
    assert "° anticlockwise: 12:00 → about 11:" in html
    assert html.count("data:image/jpeg") == 8
    assert "Take" not in html.split("<main")[1]  # the crew reads
    assert (Revision.objects.count(), Photo.objects.count()) == before


def test_the_turn_is_compared_with_what_is_recorded_now(world: World, photo: Photo) -> None:
    dial = Control.objects.get(name="Dial 1")
    world.record(Set(str(dial.pk), "control", {"setting": "1:50"}))  # 35° on from 12:40
    html = send(world, photo, later())
    assert html.count("As documented:") == 3
    assert "Take 11:" in html


def test_another_panel_says_so_for_every_knob(world: World, photo: Photo) -> None:
    html = send(world, photo, pictures.photo(turns=pictures.BEFORE, seed=11, pitch=30.0).jpeg)
    assert html.count("Cannot tell: not the same panel") == 4


def test_what_is_no_picture_comes_back_with_a_word(world: World, photo: Photo) -> None:
    assert "This is not a JPEG" in send(world, photo, b"no picture")


def test_taking_over_shows_the_setting_and_asks_why(world: World, photo: Photo) -> None:
    dial = Control.objects.get(name="Dial 1")
    world.rig.refresh_from_db()
    page = Page(as_user(world.tech), at(world, "knob_take_over", dial) + "?setting=1:50")
    assert page.sent["setting"] == "1:50"
    page.send(setting="1:50", reason_words="The local crew leaned on it.")
    dial.refresh_from_db()
    assert dial.setting == "1:50"
    assert Revision.objects.order_by("-number").first().reason_words.startswith("The local")


def test_a_photo_without_circles_asks_for_them(world: World) -> None:
    photo = add_photo(world, about=world.unit.pk)
    answer = as_user(world.tech).get(at(world, "knob_check", photo))
    assert "No knob is circled yet" in answer.content.decode()


def test_queries_do_not_grow_with_the_circles(world: World, photo: Photo) -> None:
    client = as_user(world.tech)
    few = queries_of(client, at(world, "knob_check", photo))
    add_pin(world, photo, world.control, cap_radius="0.02", cap_setting="2:00", position=9)
    assert queries_of(client, at(world, "knob_check", photo)) == few


def test_a_circle_keeps_the_setting_of_its_day(world: World) -> None:
    photo = add_photo(world, about=world.unit.pk)
    world.rig.refresh_from_db()
    page = Page(as_user(world.tech), at(world, "pin_new", photo))
    page.send(x="20", y="30", about=str(world.control.pk), cap_radius="2.5")
    pin = photo.pins.get()
    assert (pin.cap_radius, pin.cap_setting) == (Decimal("0.025"), world.control.setting)


def test_a_circle_needs_a_dial(world: World) -> None:
    photo = add_photo(world, about=world.unit.pk)
    world.rig.refresh_from_db()
    page = Page(as_user(world.tech), at(world, "pin_new", photo))
    sent = page.send(x="20", y="30", about=str(world.unit.pk), cap_radius="2.5")
    assert "A circle needs a dial" in sent.html
    assert not photo.pins.exists()


@pytest.mark.parametrize(
    ("style", "setting", "ends"),
    [
        (Style.CLOCK, "8:30", (None, None)),
        (Style.CLOCK, "12:00", (None, None)),
        (Style.DIAL, "6.4", (None, None)),
        (Style.DIAL, "-3", (Decimal(-6), Decimal(6))),
    ],
)
def test_a_setting_comes_back_from_its_angle(style: Style, setting: str, ends: Any) -> None:
    angle = angle_of(style, setting, *ends)
    assert setting_at(style, angle + 0.4, *ends) == setting


def test_no_dial_points_below_its_travel() -> None:
    assert setting_at(Style.CLOCK, 180, None, None) == ""
    assert setting_at(Style.CLOCK, 153, None, None) == "5:00"
