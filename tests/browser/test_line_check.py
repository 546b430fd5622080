"""A line check by one thumb on a phone: press, go on, say why, finish, read the report."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any
from uuid import uuid4

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Locator, Page, expect

from core.models import Show
from notes.models import LineCheck, LineCheckMark
from rigs.changes.edits import Add
from rigs.models import Revision, ShowInput
from tests.support.pages import as_user, at
from tests.support.world import HIRE, World, make_world

pytestmark = [pytest.mark.browser, pytest.mark.each_database]


def named(page: Page, role: Any, what: str, entry: str) -> Locator:
    """A button or link says what it does, then (for who does not see the row) to which input."""
    return page.get_by_role(role, name=re.compile(f"^{what} ?: {entry}$"))


@pytest.fixture
def world(transactional_db: None) -> World:
    world = make_world()
    world.record(
        *[
            Add(
                str(uuid4()),
                "input",
                {"name": f"Drum {n}", "number": n, "device": str(world.mic.pk)},
            )
            for n in (1, 2, 12)
        ],
        reason=HIRE,
    )
    return world


@pytest.fixture
def phone(world: World, live_server: Any, browser: Browser) -> Iterator[Page]:
    context = browser.new_context(
        viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True
    )
    session = as_user(world.people["crew"]).cookies["sessionid"].value
    context.add_cookies([{"name": "sessionid", "value": session, "url": str(live_server)}])
    yield context.new_page()
    context.close()


def test_one_thumb_from_the_first_input_to_the_report(
    world: World, show: Show, live_server: Any, phone: Page
) -> None:
    before = Revision.objects.count()
    phone.goto(f"{live_server}{at(world, 'notes:line_check', show.pk)}")
    for target in phone.locator(".line-button").all():
        box = target.bounding_box()
        assert box is not None
        assert box["height"] >= 56
        assert box["width"] >= 90
        # The word stays in one piece, inside its button.
        assert target.evaluate("(button) => button.scrollWidth <= button.clientWidth")
    named(phone, "button", "ok", "Drum 1").tap()
    expect(phone.get_by_text("1 of 4 marked")).to_be_visible()
    # The next input is where the thumb is, its buttons on the screen and not below the bar.
    expect(phone.locator("li.line:target")).to_contain_text("Drum 2")
    expect(named(phone, "button", "ok", "Drum 2")).to_be_in_viewport()
    named(phone, "button", "not used", "Drum 2").tap()
    named(phone, "button", "changed", "Bass mic").tap()
    named(phone, "button", "ok", "Drum 12").tap()
    expect(phone.get_by_text("4 of 4 marked")).to_be_visible()
    named(phone, "link", "Say what changed and why", "Drum 2").tap()
    phone.get_by_label("the room", exact=True).tap()
    phone.get_by_label("in a few words").fill("No floor for it.")
    phone.get_by_role("button", name="Save", exact=True).tap()
    named(phone, "link", "Say what changed and why", "Bass mic").tap()
    phone.get_by_label("something failed", exact=True).tap()
    phone.get_by_label("in a few words").fill("Ours fell over.")
    phone.get_by_label("substitute").select_option("Corvane Eskvane 4")
    phone.get_by_role("button", name="Save", exact=True).tap()
    phone.get_by_role("link", name="Finish the line check").tap()
    expect(phone.get_by_label("what to repair")).to_have_value(
        "Corvane Hollow 2 (7 Bass mic): Ours fell over."
    )
    phone.get_by_label("who was told").fill("Ines.")
    phone.get_by_role("button", name="Save", exact=True).tap()
    expect(phone.get_by_text("4 inputs: 2 ok, 1 changed, 1 not used.")).to_be_visible()
    assert LineCheck.objects.get().is_finished
    assert {mark.input.name: mark.state for mark in LineCheckMark.objects.all()} == {
        "Drum 1": "ok",
        "Drum 2": "absent",
        "Bass mic": "deviates",
        "Drum 12": "ok",
    }
    assert ShowInput.objects.get(input=world.input).device == world.other_mic
    assert Revision.objects.count() == before


def test_axe_finds_nothing_and_nothing_scrolls_sideways(
    world: World, show: Show, live_server: Any, phone: Page
) -> None:
    as_user(world.tech).post(
        at(world, "notes:line_check_mark", show.pk, world.input.pk), {"state": "deviates"}
    )
    said: list[str] = []
    phone.on("console", lambda message: said.append(message.text))
    phone.set_viewport_size({"width": 360, "height": 740})
    for name, parts in (
        ("line_check", []),
        ("line_check_input", [world.input.pk]),
        ("line_check_finish", []),
        ("show_report", []),
    ):
        phone.goto(f"{live_server}{at(world, f'notes:{name}', show.pk, *parts)}")
        found = Axe().run(phone)
        assert found.violations_count == 0, found.generate_report()
        assert phone.evaluate("document.documentElement.scrollWidth") <= 360
    assert said == []
