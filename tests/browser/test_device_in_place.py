"""On a phone: a microphone made on the form of an input; several, a line each."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from rigs.models import Device, Input
from tests.support.pages import as_user
from tests.support.rig_pages import at
from tests.support.world import World

pytestmark = pytest.mark.browser
WIDTH = "part => part.clientWidth"
NO_SIDEWAYS = "document.documentElement.scrollWidth <= innerWidth"


@pytest.fixture
def tech(world: World, live_server: object, page: Page) -> Page:
    session = as_user(world.tech).cookies["sessionid"].value
    page.context.add_cookies([{"name": "sessionid", "value": session, "url": str(live_server)}])
    page.set_viewport_size({"width": 390, "height": 844})
    return page


def test_a_device_is_read_while_typing_and_saved_in_one_press(
    world: World, live_server: object, tech: Page
) -> None:
    tech.goto(f"{live_server}{at(world, 'input_new')}")
    tech.get_by_label("Name").fill("Snare")
    tech.get_by_label("Or a new one, in a few words").press_sequentially("DI, Tarn")
    expect(tech.locator("#new-device-read")).to_contain_text("active or passive")
    tech.get_by_label("Or a new one, in a few words").fill("dynamic cardioid, Hallam D2")
    expect(tech.locator("#new-device-read")).to_contain_text("moving coil")
    assert tech.evaluate(NO_SIDEWAYS)
    assert tech.locator("#new-device-read").evaluate(WIDTH) > 300
    assert tech.locator("details", has_text="Several sources").evaluate(WIDTH) > 300
    tech.get_by_role("button", name="Save", exact=True).click()
    expect(tech.get_by_role("heading", level=1)).to_contain_text("Snare")
    assert str(Input.objects.get(name="Snare").device) == "Hallam D2"


def test_several_are_mended_on_the_phone(world: World, live_server: object, tech: Page) -> None:
    tech.goto(f"{live_server}/p/{world.production.pk}/devices/")
    tech.get_by_role("link", name="Several").click()
    tech.get_by_label("Microphones and DIs, one a line").fill(
        "dynamic cardioid, Hallam D2\nDI, Tarn Box"
    )
    tech.get_by_role("button", name="Show what was read").click()
    expect(tech.get_by_role("alert")).to_contain_text("Line 2: A DI is active or passive")
    assert tech.evaluate(NO_SIDEWAYS)
    tech.locator("#line-2").fill("active DI, Tarn Box")
    tech.get_by_role("button", name="Show what was read").click()
    tech.get_by_role("button", name="Add them").click()
    expect(tech.get_by_role("heading", name="Microphones and DIs")).to_be_visible()
    assert Device.objects.filter(name__in=["D2", "Box"]).count() == 2
