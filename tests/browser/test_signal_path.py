"""A large rig on a phone: its path can be read without moving the page sideways, and leads on by
touch and by keyboard."""

from __future__ import annotations

from uuid import UUID

import pytest
from playwright.sync_api import Browser, Page, expect

from rigs.changes.edits import Add
from tests.support.pages import as_user, at
from tests.support.world import World, make_world

pytestmark = pytest.mark.browser

LONG = "Two-channel valve amplifier with a repaired output transformer, number"


@pytest.fixture
def world(transactional_db: None) -> World:
    """Sixty units behind the one there is: long names, each on a cable of its own."""
    world = make_world()
    edits = []
    for n in range(60):
        unit = str(UUID(int=n + 1))
        edits += [
            Add(unit, "unit", {"name": f"{LONG} {n}", "gear": "combo", "position": n + 2}),
            Add(
                str(UUID(int=n + 1001)),
                "link",
                {
                    "source": str(world.unit.pk),
                    "target": unit,
                    "cable": f"loom {n}",
                    "connectors": "XLR to XLR",
                    "length_m": "12",
                    "position": n + 1,
                },
            ),
        ]
    world.record(*edits)
    return world


def phone(world: World, browser: Browser, address: str) -> Page:
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
    session = as_user(world.tech).cookies["sessionid"].value
    context.add_cookies([{"name": "sessionid", "value": session, "url": address}])
    found = context.new_page()
    found.goto(f"{address}{at(world, 'rigs:rig', world.rig.pk)}")
    return found


def test_sixty_units_can_be_read_and_opened_on_a_phone(
    world: World, live_server: object, browser: Browser
) -> None:
    page = phone(world, browser, str(live_server))
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    drawing = page.locator(".path-drawing:visible > svg")
    expect(drawing).to_have_count(1)
    box = drawing.bounding_box()
    assert box is not None
    assert box["x"] >= 0
    assert box["x"] + box["width"] <= 390
    units = box["width"] / float((drawing.get_attribute("viewBox") or "").split()[2])
    assert 13 * units >= 11.5  # the names of stations, in px
    assert 11 * units >= 9.5  # those of cables
    station = drawing.get_by_role("link").filter(has_text=f"{LONG} 7").first
    area = station.bounding_box()
    assert area is not None
    assert area["height"] >= 44
    station.tap()
    expect(page).to_have_url(f"{live_server}{at(world, 'rigs:unit', world.rig.pk, UUID(int=8))}")
    page.context.close()


def test_the_keyboard_reaches_the_stations_and_the_path_in_words(
    world: World, live_server: object, browser: Browser
) -> None:
    page = phone(world, browser, str(live_server))
    page.locator(".path-words summary").focus()
    page.keyboard.press("Enter")
    told = page.locator(".path-list li").first
    expect(told).to_contain_text(f"{LONG} 0: loom 0, XLR to XLR, 12 m (39.4 ft).")
    page.locator(".path-drawing:visible a").first.focus()
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    expect(page).to_have_url(f"{live_server}{at(world, 'rigs:unit', world.rig.pk, UUID(int=1))}")
    page.context.close()
