"""The question about a dial in a browser: both drawn, what is read follows what is typed.

By hand: an hour of a clock face is 30° (common practice, no source), so 10 o'clock is 60° left of
straight up, and 7 of 10 is −150 + 7 · 30 = 60° right of it.
"""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from rigs.models import Control
from tests.support.pages import as_user
from tests.support.rig_pages import at
from tests.support.world import World

pytestmark = pytest.mark.browser


@pytest.fixture
def tech(world: World, live_server: object, page: Page) -> Page:
    session = as_user(world.tech).cookies["sessionid"].value
    page.context.add_cookies([{"name": "sessionid", "value": session, "url": str(live_server)}])
    return page


def test_several_are_looked_at_corrected_and_added(
    world: World, live_server: object, tech: Page
) -> None:
    tech.goto(f"{live_server}{at(world, 'units_several')}")
    tech.get_by_label("Units, one a line").fill("Amp, head, , 10, 7")
    tech.get_by_role("button", name="Add them").click()
    question = tech.get_by_role("group", name="“10” at Gain: 10 of 10, or 10 o’clock?")
    gain = tech.locator(".taken").filter(has=tech.get_by_label("Gain", exact=True))
    expect(gain.locator("[data-taken-words]")).to_have_text("not read yet")
    question.get_by_label("10 o’clock").check()
    expect(gain.locator("[data-taken-words]")).to_have_text("10 o’clock")
    expect(gain.locator(".dial-pointer")).to_have_attribute("transform", "rotate(-60 36 36)")
    question.get_by_label("10 of 10").check()
    gain.get_by_label("Gain").fill("7")
    expect(gain.locator("[data-taken-words]")).to_have_text("7 of 10")
    expect(gain.locator(".dial-pointer")).to_have_attribute("transform", "rotate(60 36 36)")
    tech.get_by_role("button", name="Add them").click()
    expect(tech.get_by_role("heading", level=1)).to_have_text("Amp")
    kept = Control.objects.filter(unit__name="Amp", name__in=["Gain", "Bass"])
    assert set(kept.values_list("style", "setting")) == {("dial", "7")}


def test_one_switch_changes_the_scale_of_a_unit(
    world: World, live_server: object, tech: Page
) -> None:
    tech.goto(f"{live_server}{at(world, 'unit', world.unit)}")
    tech.get_by_role("link", name="Change the scale").click()
    row = tech.get_by_role("row", name="Gain")
    # 2:30 is 75° right of straight up: 150 + 75 of 300 degrees.
    expect(row).to_contain_text("7.5 of 10")
    tech.get_by_role("button", name="Save; the pointers stay").click()
    expect(tech.get_by_text("The dials of “Head” have the new scale.")).to_be_visible()
    expect(tech.locator(".dial-value").first).to_have_text("7.5")
