"""In the dark, with one thumb: note that strings were changed and see the next show move."""

from __future__ import annotations

from datetime import timedelta
from uuid import uuid4

import pytest
from playwright.sync_api import Page, expect

from core.models import Leg, Show
from rigs.changes.edits import Add
from rigs.models import Spare
from rigs.upkeep.services import note_done, today
from tests.support.pages import as_user, at
from tests.support.world import World, make_world

pytestmark = pytest.mark.browser


@pytest.fixture
def world(transactional_db: None) -> World:
    world, day = make_world(), today()
    leg = Leg.objects.create(
        production=world.production,
        name="Leg",
        starts_on=day - timedelta(days=9),
        ends_on=day + timedelta(days=9),
    )
    for apart, room in ((-3, "Past Hall"), (0, "Tonight Hall"), (5, "Later Hall")):
        Show.objects.create(leg=leg, held_on=day + timedelta(days=apart), room=room)
    strings = {
        "unit": str(world.unit.pk),
        "sort": "string_set",
        "what": "flat-wound",
        "every": 1,
        "per": "shows",
    }
    world.record(Add(str(uuid4()), "spare", strings))
    note_done(spare=Spare.objects.get(), by=world.tech, done_on=day - timedelta(days=3))
    return world


@pytest.mark.parametrize("scripts", [True, False])
def test_one_tap_moves_what_is_due(
    world: World, live_server: object, page: Page, scripts: bool
) -> None:
    context = page.context.browser.new_context(  # type: ignore[union-attr]
        viewport={"width": 390, "height": 844}, java_script_enabled=scripts
    )
    session = as_user(world.tech).cookies["sessionid"].value
    context.add_cookies([{"name": "sessionid", "value": session, "url": str(live_server)}])
    phone = context.new_page()
    phone.goto(f"{live_server}{at(world, 'rigs:upkeep')}")
    row = phone.locator(".lineup-row", has_text="flat-wound")
    expect(row).to_contain_text("Tonight Hall")
    button = row.get_by_role("button", name="Done today")
    box = button.bounding_box()
    assert box is not None
    assert box["height"] >= 44
    button.click()
    expect(phone.get_by_text("Noted: string set: flat-wound was changed")).to_be_visible()
    phone.get_by_text("Later, or when it is worn (1)").click()
    expect(row).to_contain_text("Later Hall")
    if scripts:
        assert phone.evaluate("document.documentElement.scrollWidth") == 390
    context.close()
