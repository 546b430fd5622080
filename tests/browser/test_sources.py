"""A group of units is named on a phone, chosen on an overhead, and seen in the signal path."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any
from uuid import uuid4

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect

from rigs.changes.edits import Add
from rigs.models import Input
from rigs.revisions.sources import heard_of
from tests.support.pages import as_user
from tests.support.rig_pages import at
from tests.support.world import World, make_world

pytestmark = pytest.mark.browser


@pytest.fixture
def world(transactional_db: None) -> World:
    world = make_world()
    for n, name in enumerate(("Kick", "Snare", "Rack tom of the older of the two kits"), start=1):
        world.record(Add(str(uuid4()), "unit", {"name": name, "gear": "drum", "position": n}))
    return world


@pytest.fixture(params=[True, False], ids=["with script", "without script"])
def phone(
    request: pytest.FixtureRequest, world: World, live_server: Any, browser: Browser
) -> Iterator[Page]:
    context = browser.new_context(
        viewport={"width": 390, "height": 844}, has_touch=True, java_script_enabled=request.param
    )
    session = as_user(world.tech).cookies["sessionid"].value
    context.add_cookies([{"name": "sessionid", "value": session, "url": str(live_server)}])
    yield context.new_page()
    context.close()


def test_the_kit_is_named_once_and_chosen(world: World, live_server: Any, phone: Page) -> None:
    phone.goto(f"{live_server}{at(world, 'group_new')}")
    phone.get_by_label("Name of the group").fill("the kit")
    for name in ("Kick", "Snare"):
        phone.get_by_label(name, exact=True).check()
    box = phone.get_by_label("Kick", exact=True).locator("..").bounding_box()
    assert box is not None
    assert box["height"] >= 44
    phone.get_by_role("button", name="Save", exact=True).click()
    expect(phone.get_by_text("“the kit” can be chosen for inputs now.")).to_be_visible()
    phone.goto(f"{live_server}{at(world, 'input_edit', world.input)}")
    phone.get_by_text("Several sources: an overhead").click()
    phone.get_by_label("the kit: Kick, Snare").check()
    phone.get_by_role("button", name="Save", exact=True).click()
    expect(phone.get_by_text("the kit (Kick, Snare)")).to_be_visible()
    assert heard_of(Input.objects.get(pk=world.input.pk)).words == "Head and the kit"
    phone.goto(f"{live_server}{at(world, 'rig')}")
    drawn = phone.locator(".path-drawing:visible .path-name").filter(has_text="the kit")
    expect(drawn).to_be_visible()


def test_the_form_is_sound_at_both_widths(world: World, live_server: Any, browser: Browser) -> None:
    for width in (360, 1280):
        context = browser.new_context(viewport={"width": width, "height": 844})
        session = as_user(world.tech).cookies["sessionid"].value
        context.add_cookies([{"name": "sessionid", "value": session, "url": str(live_server)}])
        page = context.new_page()
        for name, parts in (("group_new", ()), ("input_edit", (world.input,))):
            page.goto(f"{live_server}{at(world, name, *parts)}")
            if name == "input_edit":
                page.get_by_text("Several sources: an overhead").click()
            assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
            assert Axe().run(page).response["violations"] == []
        context.close()
