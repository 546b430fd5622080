"""Settings at stage speed: Enter walks on, arrows and a dragged knob turn.

The scale is the hour hand's own: 30° to the hour; a knob sweeps 300° (common practice, no source).
"""

from __future__ import annotations

from uuid import uuid4

import pytest
from playwright.sync_api import Browser, Page, expect

from rigs.changes.edits import Add
from rigs.models import Control, Unit
from tests.support.pages import as_user
from tests.support.rig_pages import at
from tests.support.world import World, make_world

pytestmark = pytest.mark.browser


@pytest.fixture
def world(transactional_db: None) -> World:
    world = make_world()
    level = {
        "unit": str(world.unit.pk),
        "name": "Level",
        "style": "dial",
        "setting": "6.5",
        "position": 2,
    }
    world.record(Add(str(uuid4()), "control", level))
    return world


@pytest.fixture
def unit(world: World, live_server: object, page: Page) -> Page:
    session = as_user(world.tech).cookies["sessionid"].value
    page.context.add_cookies([{"name": "sessionid", "value": session, "url": str(live_server)}])
    page.goto(f"{live_server}{at(world, 'unit', world.unit)}")
    return page


def test_enter_goes_on_and_the_button_is_last(unit: Page) -> None:
    gain, level = unit.get_by_label("Gain"), unit.get_by_label("Level")
    gain.fill("3:00")
    gain.press("Enter")
    expect(level).to_be_focused()
    level.fill("7")
    level.press("Enter")
    expect(unit.get_by_role("button", name="Save the settings")).to_be_focused()
    unit.keyboard.press("Enter")
    expect(unit.get_by_text("The settings of “Head” are saved.")).to_be_visible()
    assert {c.name: c.setting for c in Control.objects.all()} == {"Gain": "3:00", "Level": "7"}


def test_arrow_keys_turn_in_small_steps(unit: Page) -> None:
    gain, level = unit.get_by_label("Gain"), unit.get_by_label("Level")
    gain.press("ArrowUp")
    level.press("ArrowDown")
    assert (gain.input_value(), level.input_value()) == ("2:45", "6")


def test_a_knob_stops_where_the_dial_ends(unit: Page) -> None:
    gain = unit.get_by_label("Gain")
    gain.fill("4:45")
    for _ in range(3):
        gain.press("ArrowUp")
    assert gain.input_value() == "5:00"


def test_a_knob_is_dragged(unit: Page) -> None:
    gain = unit.get_by_label("Gain")
    gain.fill("12:00")
    box = unit.locator(".field:has(label:text-is('Gain')) .knob").bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    unit.mouse.move(x, y)
    unit.mouse.down()
    unit.mouse.move(x, y - 40)  # 60° at 1.5° a pixel
    unit.mouse.up()
    assert gain.input_value() == "2:00"


def test_a_knob_is_turned_by_a_finger_and_the_page_stays_where_it_is(
    world: World, live_server: object, browser: Browser
) -> None:
    phone = {"width": 390, "height": 844}
    context = browser.new_context(viewport=phone, has_touch=True, is_mobile=True)  # type: ignore[arg-type]
    session = as_user(world.tech).cookies["sessionid"].value
    context.add_cookies([{"name": "sessionid", "value": session, "url": str(live_server)}])
    page = context.new_page()
    page.goto(f"{live_server}{at(world, 'unit', world.unit)}")
    level = page.get_by_label("Level")
    level.scroll_into_view_if_needed()
    level.fill("5")
    box = page.locator(".field:has(label:text-is('Level')) .knob").bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    before = page.evaluate("scrollY")
    finger = context.new_cdp_session(page)
    for kind, rise in (("Start", 0), ("Move", 10), ("Move", 30)):
        touch = {"type": f"touch{kind}", "touchPoints": [{"x": x, "y": y - rise}]}
        finger.send("Input.dispatchTouchEvent", touch)
    finger.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    # By hand: 30 pixels at 1.5° are 45°; 30° are one number of a dial from 0 to 10.
    assert level.input_value() == "6.5"
    assert page.evaluate("scrollY") == before
    context.close()


def test_dials_with_numbers_are_said_once_and_all_knobs_follow(
    world: World, live_server: object, unit: Page
) -> None:
    unit.goto(f"{live_server}{at(world, 'unit_new')}?gear=head")
    unit.get_by_label("Name").fill("Top")
    unit.get_by_label("Its dials are read").select_option("numbers")
    gain = unit.get_by_label("Gain", exact=True)
    gain.fill("6.5")
    pointer = unit.locator(".field:has(label:text-is('Gain')) .knob line")
    # By hand: 6.5 of 10 is −150 + 0.65 · 300 = 45 degrees.
    expect(pointer).to_have_attribute("transform", "rotate(45)")
    gain.press("ArrowUp")
    assert gain.input_value() == "7"
    unit.get_by_role("button", name="Save", exact=True).click()
    expect(unit.get_by_role("heading", level=1)).to_have_text("Top")
    kept = Control.objects.get(unit__name="Top", name="Gain")
    assert (kept.style, kept.setting) == ("dial", "7")


def test_a_unit_is_documented_with_a_handful_of_touches(
    world: World, live_server: object, unit: Page
) -> None:
    unit.goto(f"{live_server}{at(world, 'unit_new')}")
    unit.get_by_role("link", name="Compressor").click()
    unit.get_by_label("Name").fill("Squash")
    unit.keyboard.press("Enter")  # to “On”, which is left as it is
    for typed in ("-20", "4"):
        unit.keyboard.press("Enter")
        unit.keyboard.type(typed)
    unit.get_by_role("button", name="Save", exact=True).click()
    expect(unit.get_by_role("heading", level=1)).to_have_text("Squash")
    controls = Unit.objects.get(name="Squash").controls
    assert controls.count() == 6
    settings = {c.name: c.setting for c in controls.exclude(setting="")}
    assert settings == {"Threshold": "-20", "Ratio": "4"}
