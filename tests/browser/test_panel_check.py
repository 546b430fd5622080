"""On a phone: a knob is marked by one gesture, and a photo of now is compared and confirmed."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from rigs.changes.edits import Set
from rigs.knob_check import forms as knob_forms
from rigs.models import PanelCheck, Photo
from tests.rigs.knob_check.canned import canned
from tests.rigs.photos.pinning import add_photo
from tests.support.everything import picture
from tests.support.pages import as_user
from tests.support.rig_pages import at
from tests.support.world import World, make_world

pytestmark = pytest.mark.browser
PHONE = {"width": 390, "height": 844}


@pytest.fixture
def world(transactional_db: None, settings: Any, tmp_path: Any) -> World:
    settings.MEDIA_ROOT = tmp_path
    return make_world()


@pytest.fixture
def photo(world: World) -> Photo:
    return add_photo(world, about=world.unit.pk)


@pytest.fixture
def phone(world: World, live_server: Any, browser: Browser) -> Iterator[Page]:
    context = browser.new_context(viewport=PHONE, color_scheme="dark", service_workers="block")
    session = as_user(world.tech).cookies["sessionid"].value
    context.add_cookies([{"name": "sessionid", "value": session, "url": str(live_server)}])
    yield context.new_page()
    context.close()


def test_a_panel_is_marked_checked_and_confirmed(
    world: World,
    photo: Photo,
    phone: Page,
    live_server: Any,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    # Documented for the first time: it has no setting yet.
    world.record(Set(str(world.control.pk), "control", {"setting": ""}))
    phone.goto(f"{live_server}{at(world, 'circles', photo)}")
    phone.evaluate("() => document.querySelector('.circles-stage img').decode()")
    box = phone.locator(".circles-stage").bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] * 0.5, box["y"] + box["height"] * 0.4
    phone.mouse.move(x, y)
    phone.mouse.down()
    phone.mouse.move(x + box["width"] * 0.1, y, steps=4)
    phone.mouse.up()
    expect(phone.locator(".mark-edge")).to_be_visible()
    # Dragged to the right, its pointer stands at 3:00; nothing is written until it is ticked.
    expect(phone.get_by_label("stands on the photo at")).to_have_value("3:00")
    phone.get_by_label("Document it so").check()
    # By keyboard a little further to the left.
    phone.locator(".panel-mark").focus()
    phone.keyboard.press("Shift+ArrowLeft")
    phone.get_by_role("button", name="Save the marks").click()
    expect(phone.get_by_text("The marks are saved")).to_be_visible()
    pin = photo.pins.get()
    assert pin.about == world.control.pk
    world.control.refresh_from_db()
    assert world.control.setting == pin.cap_setting == "3:00"
    assert [round(float(v), 2) for v in (pin.x, pin.y, pin.cap_radius)] == [0.49, 0.4, 0.1]
    assert phone.evaluate("document.documentElement.scrollWidth") == PHONE["width"]

    monkeypatch.setattr(knob_forms, "compare", lambda of, _: canned(of, [2.0]))
    now = tmp_path / "now.webp"
    now.write_bytes(picture("navy").full)
    phone.goto(f"{live_server}{at(world, 'knob_checks')}")
    phone.set_input_files("input[type=file]", str(now))
    phone.get_by_role("button", name="Check", exact=True).click()
    expect(phone.get_by_text("1 as documented.")).to_be_visible()
    phone.get_by_role("button", name="One over the other").click()
    # What is a tenth of the width to the right on the new photo is brought back.
    moved = "() => new DOMMatrix(getComputedStyle(document.querySelector('.over-2 img')).transform)"
    moved += ".e / document.querySelector('[data-over-frame]').clientWidth"
    assert phone.evaluate(moved) == pytest.approx(-0.1, abs=0.001)
    phone.get_by_role("button", name="All as documented").click()
    expect(phone.get_by_text("is marked as documented")).to_be_visible()
    assert PanelCheck.objects.get().confirmed_name == world.tech.name
    assert phone.evaluate("document.documentElement.scrollWidth") == PHONE["width"]
