"""A path typed on a phone: cables and drawing grow while one types, one press saves all."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from rigs.models import Link, Unit
from tests.support.pages import as_user
from tests.support.rig_pages import at
from tests.support.world import World

pytestmark = pytest.mark.browser


def phone(world: World, browser: Browser, address: str, **more: Any) -> Page:
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True, **more)
    session = as_user(world.tech).cookies["sessionid"].value
    context.add_cookies([{"name": "sessionid", "value": session, "url": address}])
    page = context.new_page()
    page.goto(address + at(world, "links_path"))
    return page


def test_the_drawing_grows_while_a_path_is_typed(
    world: World, browser: Browser, live_server: Any
) -> None:
    page = phone(world, browser, live_server.url)
    words = page.get_by_role("textbox", name="The path")
    words.fill("guitar > wireless")
    drawing = page.locator(".path-drawing:visible .path-name")
    expect(page.get_by_role("heading", name="Cables (1 new)")).to_be_visible()
    expect(drawing.filter(has_text="wireless")).to_be_visible()
    words.press_sequentially(" > fuzz > head > cab")
    expect(page.get_by_role("heading", name="Cables (4 new)")).to_be_visible()
    expect(page.get_by_role("status").filter(has_text="4 cables")).to_have_count(1)
    expect(page.get_by_text("never an instrument lead")).to_be_visible()
    # What is chosen and typed in the preview stays when more is typed.
    page.get_by_label("fuzz", exact=True).select_option("pedal")
    page.get_by_label("Length of each speaker cable").fill("2 m")
    words.press_sequentially("; cab > cabinet 2")
    expect(page.get_by_role("heading", name="Cables (5 new)")).to_be_visible()
    expect(page.get_by_label("fuzz", exact=True)).to_have_value("pedal")
    expect(page.get_by_label("Length of each speaker cable")).to_have_value("2 m")
    page.get_by_role("button", name="Save the cables").click()
    expect(page.get_by_text("5 cables are in the path, with 5 new units.")).to_be_visible()
    assert Unit.objects.get(name="fuzz").gear == "pedal"
    assert {str(link.length_m.normalize()) for link in Link.objects.filter(carries="speaker")} == {
        "2"
    }
    page.context.close()


def test_a_word_that_cannot_be_read_is_marked_while_one_types(
    world: World, browser: Browser, live_server: Any
) -> None:
    page = phone(world, browser, live_server.url)
    page.get_by_role("textbox", name="The path").fill("send 1 > head; head > cab")
    expect(page.locator("mark")).to_have_text("send 1")
    expect(page.get_by_role("status").filter(has_text="1 to mend")).to_have_count(1)
    expect(page.get_by_role("heading", name="Cables (1 new)")).to_be_visible()
    page.context.close()


def test_it_works_without_scripts(world: World, browser: Browser, live_server: Any) -> None:
    page = phone(world, browser, live_server.url, java_script_enabled=False)
    page.get_by_role("textbox", name="The path").fill("head > cab")
    page.get_by_role("button", name="Show the path first").click()
    expect(page.get_by_role("heading", name="Cables (1 new)")).to_be_visible()
    page.get_by_role("button", name="Save the cables").click()
    expect(page.get_by_text("The cable is in the path, with 1 new unit.")).to_be_visible()
    page.context.close()
