"""A photo of now against the documented one: what the page says, and what is taken over."""

from __future__ import annotations

import math
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from rigs.changes.edits import Add, Set
from rigs.knob_check import forms as knob_forms
from rigs.knob_check.confirming import marks_of
from rigs.knob_check.states import states
from rigs.models import Control, PanelCheck, Photo, Revision, TurnBack
from rigs.photos.prepare import prepare
from rigs.photos.services import add_photos
from rigs.settings_of_controls import Style, angle_of, read_travel, setting_at
from tests.rigs.knob_check import pictures
from tests.rigs.knob_check.canned import canned
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


def post(world: World, photo: Photo, data: bytes, by: Any = None) -> Any:
    file = SimpleUploadedFile("now.jpg", data, "image/jpeg")
    client = as_user(by or world.tech)
    return client.post(at(world, "knob_check", photo), {f"now-{photo.pk}": file})


def send(world: World, photo: Photo, data: bytes, by: Any = None) -> str:
    """The page that tells what the photo shows."""
    answer = post(world, photo, data, by)
    assert answer.status_code == 302, words(answer)
    return words(as_user(by or world.tech).get(answer.url))


def words(answer: Any) -> str:
    return " ".join(answer.content.decode().split())


def act(world: World, name: str, by: Any = None, **data: str) -> str:
    """Press a button of the newest check, and read the page that it leads to."""
    check = PanelCheck.objects.first()
    assert check is not None
    url = reverse(f"rigs:{name}", args=[world.production.pk, world.rig.pk, check.pk])
    return words(as_user(by or world.tech).post(url, data, follow=True))


def later() -> bytes:
    return pictures.photo(turns=pictures.AFTER, off=12.0).jpeg


@pytest.fixture
def read(monkeypatch: pytest.MonkeyPatch) -> list[float | None]:
    """What is read of each knob, put in place of the reading, which takes seconds: None cannot be
    told."""
    turns: list[float | None] = [0.0, 35.0, 0.0, -12.0]
    monkeypatch.setattr(knob_forms, "compare", lambda of, _: canned(of, turns))
    return turns


Read = list[float | None]


def test_what_is_turned_is_told_and_nothing_is_written(world: World, photo: Photo) -> None:
    before = Revision.objects.count(), Photo.objects.count()
    html = send(world, photo, later(), by=world.people["crew"])
    assert html.count("As documented:") == 2
    # Dial 1 by 35° clockwise, Dial 3 by 12° the other way: what is 2° in a minute of four.
    assert "° clockwise: 12:40 → about 1:" in html
    assert "° anticlockwise: 12:00 → about 11:" in html
    assert html.count("<image href=") == 8  # each knob then and now
    assert "Take 1" not in html  # the crew changes no rig
    assert (Revision.objects.count(), Photo.objects.count()) == before
    # The drawing knows where its caps are: each patch brings one to its middle, at its size.
    caps = pictures.photo(turns=pictures.AFTER, off=12.0).caps
    for state, cap in zip(states(PanelCheck.objects.get()), caps, strict=True):
        assert state.after is not None
        a, b, c, d, e, f = map(float, state.after.transform[7:-1].split())
        x, y = a * cap.x + c * cap.y + e, b * cap.x + d * cap.y + f
        assert math.hypot(x, y) < 0.35  # radii; a cap stands off the panel
        assert 0.6 < math.sqrt(a * d - b * c) * cap.radius < 1.5


def test_the_turn_is_compared_with_what_is_recorded_now(
    world: World, photo: Photo, read: Read
) -> None:
    dial = Control.objects.get(name="Dial 1")
    world.record(Set(str(dial.pk), "control", {"setting": "1:50"}))  # 35° on from 12:40
    html = send(world, photo, later())
    assert html.count("As documented:") == 3
    assert "Take 11:" in html


def test_another_panel_says_so_and_is_not_kept(world: World, photo: Photo) -> None:
    other = pictures.photo(turns=pictures.BEFORE, seed=11, pitch=30.0).jpeg
    assert "This is not the panel of “Front”" in words(post(world, photo, other))
    assert not PanelCheck.objects.exists()


def test_what_is_no_picture_comes_back_with_a_word(world: World, photo: Photo) -> None:
    assert "This is not a JPEG" in words(post(world, photo, b"no picture"))


def test_the_same_photo_again_is_the_same_check(world: World, photo: Photo, read: Read) -> None:
    assert post(world, photo, later()).url == post(world, photo, later()).url
    assert PanelCheck.objects.count() == 1


def test_a_panel_with_a_turned_knob_is_not_as_documented(
    world: World, photo: Photo, read: Read
) -> None:
    send(world, photo, later())
    assert "Not as documented: Dial 1, Dial 3." in act(world, "knob_confirm")
    assert PanelCheck.objects.get().confirmed_at is None


def test_what_is_turned_back_is_a_task_until_somebody_has(
    world: World, photo: Photo, read: Read
) -> None:
    send(world, photo, later())
    crew, dial = world.people["crew"], Control.objects.get(name="Dial 1")
    front = reverse("core:production", args=[world.production.pk])
    act(world, "knob_turn_back", crew, control=str(dial.pk))
    act(world, "knob_turn_back", crew, control=str(dial.pk))
    assert TurnBack.objects.count() == 1
    assert "1 control is to be turned back" in words(as_user(world.tech).get(front))
    act(world, "knob_turn_back", crew, control=str(dial.pk), done="1")
    assert "to be turned back" not in words(as_user(world.tech).get(front))
    task = TurnBack.objects.get()
    assert (task.done_name, task.seen[:2]) == (crew.name, "1:")
    dial.refresh_from_db()
    assert dial.setting == "12:40"  # a task changes no rig


def test_what_is_not_turned_is_no_task(world: World, photo: Photo, read: Read) -> None:
    send(world, photo, later())
    same = Control.objects.get(name="Dial 0")
    assert "not turned on this photo" in act(world, "knob_turn_back", control=str(same.pk))
    assert not TurnBack.objects.exists()


def test_a_mark_says_who_when_and_in_which_change(world: World, photo: Photo, read: Read) -> None:
    read[:] = [0.0, 3.0, -7.9, 8.0]
    html = send(world, photo, later())
    assert "4 as documented." in html
    crew = world.people["crew"]
    assert "marked as documented" in act(world, "knob_confirm", crew)
    check = PanelCheck.objects.get()
    world.rig.refresh_from_db()
    assert (check.confirmed_by, check.confirmed_in) == (crew, world.rig.head_number)
    assert [mark.since for mark in marks_of([world.rig.pk])] == [()]
    html = words(as_user(world.tech).get(world.rig.get_absolute_url()))
    assert "all as documented" in html
    assert crew.name in html
    dial = Control.objects.get(name="Dial 2")
    world.record(Set(str(dial.pk), "control", {"setting": "4:00"}))
    assert [mark.since for mark in marks_of([world.rig.pk])] == [(str(dial),)]


def test_what_cannot_be_told_must_be_looked_at(world: World, photo: Photo, read: Read) -> None:
    read[:] = [0.0, None, 0.0, 0.0]
    send(world, photo, later())
    assert "Look at these by eye first, and say so: Dial 1." in act(world, "knob_confirm")
    act(world, "knob_confirm", looked="on")
    assert PanelCheck.objects.get().by_eye == ["Dial 1"]


def test_a_check_is_thrown_away(world: World, photo: Photo, read: Read) -> None:
    send(world, photo, later())
    assert "The check is thrown away." in act(world, "knob_throw_away", world.people["crew"])
    assert not PanelCheck.objects.exists()
    read[:] = [0.0] * 4
    send(world, photo, later())
    act(world, "knob_confirm")
    assert "has marked it as documented" in act(world, "knob_throw_away")
    assert PanelCheck.objects.exists()


def test_taking_over_shows_the_setting_and_asks_why(world: World, photo: Photo, read: Read) -> None:
    dial = Control.objects.get(name="Dial 1")
    world.rig.refresh_from_db()
    send(world, photo, later())
    asked = f"?setting=1:50&check={PanelCheck.objects.get().pk}"
    page = Page(as_user(world.tech), at(world, "knob_take_over", dial) + asked)
    assert page.sent["reason_words"].startswith("Found so on a photo of ")
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
    whole = queries_of(client, at(world, "knob_checks"))
    add_pin(world, photo, world.control, cap_radius="0.02", cap_setting="2:00", position=9)
    assert queries_of(client, at(world, "knob_check", photo)) == few
    assert queries_of(client, at(world, "knob_checks")) == whole


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


def test_all_knobs_of_a_panel_are_marked_in_one_form(world: World) -> None:
    photo = add_photo(world, about=world.unit.pk)
    before = Revision.objects.count()
    world.rig.refresh_from_db()
    page = Page(as_user(world.tech), at(world, "circles", photo))
    key = world.control.pk
    page.send(**{f"x-{key}": "20", f"y-{key}": "30", f"radius-{key}": "2.5"})
    pin = photo.pins.get()
    assert (pin.x, pin.cap_radius, pin.about) == (Decimal("0.2"), Decimal("0.025"), key)
    assert pin.cap_setting == world.control.setting
    assert Revision.objects.count() == before + 1
    # Taken off again, the pin stays where it was.
    world.rig.refresh_from_db()
    Page(as_user(world.tech), at(world, "circles", photo)).send(**{f"radius-{key}": ""})
    pin.refresh_from_db()
    assert (pin.cap_radius, pin.cap_setting, pin.x) == (None, "", Decimal("0.2"))


def test_the_ends_of_its_travel_are_kept_with_a_mark(world: World) -> None:
    photo, key = add_photo(world, about=world.unit.pk), world.control.pk
    world.rig.refresh_from_db()
    page = Page(as_user(world.tech), at(world, "circles", photo))
    assert "300°" in page.html
    mark = {f"x-{key}": "20", f"y-{key}": "30", f"radius-{key}": "2.5", f"from-{key}": "7.30"}
    assert "Give both ends" in page.send(**mark).html
    assert "a knob turns by" in page.send(**mark, **{f"to-{key}": "7:40"}).html
    page.send(**mark, **{f"to-{key}": "4:30"})
    pin = photo.pins.get()
    assert (pin.travel_from, pin.travel_to) == ("7:30", "4:30")
    asked = "?control={}&angle=0&from=7:30&to=12:00"
    client = as_user(world.tech)
    told = client.get(at(world, "circle_propose", photo) + asked.format(key)).json()
    assert told["setting"] == "12:00"


def test_a_fader_is_marked_by_the_ends_of_its_slot(world: World) -> None:
    photo, key = add_photo(world, about=world.unit.pk), world.control.pk
    world.rig.refresh_from_db()
    page = Page(as_user(world.tech), at(world, "circles", photo))
    ends = {f"x-{key}": "20", f"y-{key}": "60", f"endx-{key}": "20"}
    refused = page.send(**ends)
    assert "needs both numbers" in refused.html
    assert refused.sent[f"x-{key}"] == "20"  # what was typed stays
    page.send(**ends, **{f"endy-{key}": "30"})
    pin = photo.pins.get()
    assert (pin.slot_x, pin.slot_y, pin.cap_radius) == (Decimal("0.2"), Decimal("0.3"), None)


def test_what_the_photo_shows_is_documented_where_nothing_was(world: World) -> None:
    photo, part = add_photo(world, about=world.unit.pk), str(uuid4())
    world.record(Add(part, "control", {"unit": str(world.unit.pk), "name": "Air"}))
    world.rig.refresh_from_db()
    page = Page(as_user(world.tech), at(world, "circles", photo))
    assert f"document-{world.control.pk}" not in page.html  # it has a setting
    mark = {f"x-{part}": "20", f"y-{part}": "30", f"radius-{part}": "2.5"}
    page.send(**mark, **{f"setting-{part}": "2.30", f"document-{part}": "on"})
    assert Control.objects.get(pk=part).setting == "2:30"
    assert photo.pins.get().cap_setting == "2:30"


def test_a_setting_and_a_circle_are_proposed_and_not_written(world: World) -> None:
    drawn = pictures.photo(turns=pictures.BEFORE)
    stored = prepare(drawn.jpeg, max_bytes=10_000_000, max_pixels=10_000_000)
    add_photos(world.rig, [stored], about=world.unit.pk, caption="Front", author=world.tech)
    photo, before = Photo.objects.get(), Revision.objects.count()
    cap = pictures.circles(drawn)[1]
    asked = f"?x={cap.x * 100 + 0.4}&y={cap.y * 100}&control={world.control.pk}&angle=75"
    client = as_user(world.tech)
    told = client.get(at(world, "circle_propose", photo) + asked).json()
    assert told["setting"] == "2:30"  # 75° on a clock face, 30° an hour
    assert told["circle"]["x"] == pytest.approx(cap.x * 100, abs=0.3)
    assert told["circle"]["radius"] == pytest.approx(cap.radius * 100, rel=0.2)
    # Not told, it is read: the drawn pointer stands at 20°, 40 minutes past twelve.
    read = asked.replace("&angle=75", "")
    told = client.get(at(world, "circle_propose", photo) + read).json()
    assert told["angle"] == pytest.approx(pictures.BEFORE[1], abs=4)
    assert told["setting"] in ("12:30", "12:35", "12:40", "12:45")
    nothing = client.get(at(world, "circle_propose", photo) + "?x=nan&y=").json()
    assert nothing == {"circle": None, "angle": None, "setting": ""}
    assert Revision.objects.count() == before


def test_a_switch_is_marked_by_its_positions(world: World) -> None:
    photo, part = add_photo(world, about=world.unit.pk), str(uuid4())
    fields = {"unit": str(world.unit.pk), "name": "Standby", "style": "switch", "setting": "on"}
    world.record(Add(part, "control", fields))
    world.rig.refresh_from_db()
    page = Page(as_user(world.tech), at(world, "circles", photo))
    assert "is no place" in page.send(**{f"spots-{part}": "20 30; here"}).html
    page.send(**{f"spots-{part}": "20 30;20 34,5"})
    pin = photo.pins.get()
    assert (pin.spots, pin.cap_setting) == ("20 30; 20 34.5", "on")


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


def test_a_travel_tells_where_a_number_is() -> None:
    # From 9:00 (270°) to 3:00 (90°) is half a face: 5 of 10 is straight up.
    half = read_travel("9:00", "3:00")
    assert (half.start, half.sweep) == (-90.0, 180.0)
    assert angle_of(Style.DIAL, "5", None, None, half) == 0.0
    assert setting_at(Style.DIAL, 45.0, None, None, half) == "7.5"
    assert setting_at(Style.DIAL, 120.0, None, None, half) == ""
    # It may go on where no time is written, and a clock then has no word for it.
    wide = read_travel("6:15", "5:45")
    assert wide.sweep == 345.0
    assert setting_at(Style.CLOCK, 170.0, None, None, wide) == ""


def test_no_dial_points_below_its_travel() -> None:
    assert setting_at(Style.CLOCK, 180, None, None) == ""
    assert setting_at(Style.CLOCK, 153, None, None) == "5:00"
