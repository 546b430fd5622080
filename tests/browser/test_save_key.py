"""Ctrl+Enter (on a Mac, Command+Enter) presses the main button of the form that is typed in."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from rigs.models import Revision, Unit
from tests.browser.test_every_page import sign_in
from tests.support.pages import at
from tests.support.world import World, make_world

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def small(transactional_db: None) -> World:
    return make_world()


@pytest.fixture
def desk(page: Page, live_server: Any, small: World) -> Page:
    sign_in(page, live_server.url, small, "auto")
    return page


@pytest.fixture
def phone(browser: Browser, live_server: Any, small: World) -> Iterator[Page]:
    context = browser.new_context(
        viewport={"width": 390, "height": 844},
        has_touch=True,
        is_mobile=True,
        service_workers="block",
    )
    page = context.new_page()
    sign_in(page, live_server.url, small, "auto")
    yield page
    context.close()


def test_a_setting_is_saved_from_its_field(desk: Page, live_server: Any, small: World) -> None:
    desk.goto(live_server.url + at(small, "rigs:unit", small.rig.pk, small.unit.pk))
    gain = desk.get_by_role("textbox", name="Gain")
    gain.fill("4:00")
    with desk.expect_navigation():
        gain.press("Control+Enter")
    small.control.refresh_from_db()
    assert small.control.setting == "4:00"


def test_of_two_buttons_the_main_one_is_pressed(desk: Page, live_server: Any, small: World) -> None:
    """Beside it stands “Save and add another”, which would come back with an empty form."""
    desk.goto(live_server.url + at(small, "rigs:unit_new", small.rig.pk) + "?gear=pedal")
    expect(desk.get_by_role("button", name="Save and add another")).to_be_visible()
    name = desk.get_by_role("textbox", name="Name")
    name.fill("Second board")
    with desk.expect_navigation():
        name.press("Control+Enter")
    made = Unit.objects.get(name="Second board")
    assert str(made.pk) in desk.url


def test_where_both_buttons_are_main_nothing_is_sent(
    desk: Page, live_server: Any, small: World
) -> None:
    url = at(small, "rigs:unit_scale", small.rig.pk, small.unit.pk)
    desk.goto(f"{live_server.url}{url}?to=numbers&low=0&high=10")
    before = Revision.objects.count()
    desk.locator("form.scale-form").evaluate(
        """form => {
          const words = form.appendChild(document.createElement("input"));
          words.id = "words";
        }"""
    )
    desk.locator("#words").press("Control+Enter")
    expect(desk.locator("button[name=keep]").first).to_be_focused()
    assert Revision.objects.count() == before


def test_a_plain_enter_in_a_text_of_many_lines_sends_nothing(
    desk: Page, live_server: Any, small: World
) -> None:
    desk.goto(live_server.url + at(small, "rigs:edit", small.rig.pk))
    words = desk.locator("main textarea").first
    words.fill("")
    words.press("Enter")
    expect(words).to_have_value("\n")


def test_the_keys_are_told_where_there_is_a_keyboard(
    desk: Page, phone: Page, live_server: Any, small: World
) -> None:
    url = live_server.url + at(small, "rigs:unit_new", small.rig.pk) + "?gear=pedal"
    for page in (desk, phone):
        page.goto(url)
        main = page.locator("main form .button-primary")
        page.get_by_role("textbox", name="Name").focus()
        expect(main).to_have_attribute("aria-keyshortcuts", "Control+Enter")
    expect(desk.locator(".key-hint").first).to_be_visible()
    expect(desk.locator(".key-hint").first).to_have_text("Ctrl + Enter")
    expect(phone.locator(".key-hint").first).to_be_hidden()
