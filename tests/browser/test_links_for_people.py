"""A link for somebody: read off the screen, copied, shared, made again; and without scripts."""

from __future__ import annotations

import io
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest
from axe_playwright_python.sync_playwright import Axe
from django.test import Client
from PIL import Image
from playwright.sync_api import Browser, Page, expect

from core.models import OneTimeLink
from tests.support.pages import at
from tests.support.squares import squares_in
from tests.support.world import World, make_world

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

SHARED = "window.shared = []; navigator.share = async (what) => { window.shared.push(what); };"
NO_CLIPBOARD = "Object.defineProperty(navigator, 'clipboard', { value: undefined });"
SIDEWAYS = "() => document.documentElement.scrollWidth - document.documentElement.clientWidth"


@pytest.fixture
def invited() -> World:
    return make_world()


def log_in(page: Page, live_server: Any, user: Any) -> None:
    client = Client()
    client.force_login(user)
    page.context.add_cookies(
        [{"name": "sessionid", "value": client.cookies["sessionid"].value, "url": live_server.url}]
    )


def invite(page: Page, live_server: Any, world: World) -> str:
    log_in(page, live_server, world.people["manager"])
    page.goto(live_server.url + at(world, "core:invite"))
    page.get_by_label("crew", exact=True).check()
    page.get_by_role("button", name="Make the invitation").click()
    expect(page.get_by_role("heading", name="Pass on this link")).to_be_visible()
    return page.locator("[data-link]").input_value()


def code_on(page: Page) -> list[str]:
    picture = Image.open(io.BytesIO(page.locator("svg.qr").screenshot())).convert("RGB")
    return squares_in(np.asarray(picture))


@pytest.mark.parametrize(("width", "theme"), [(390, "dark"), (390, "light"), (1280, "dark")])
def test_it_is_read_off_the_screen_by_everybody(
    page: Page, live_server: Any, invited: World, width: int, theme: str
) -> None:
    page.set_viewport_size({"width": width, "height": 844})
    page.context.add_cookies([{"name": "theme", "value": theme, "url": live_server.url}])
    link = invite(page, live_server, invited)
    assert code_on(page) == [link]
    assert Axe().run(page).violations_count == 0
    assert page.evaluate(SIDEWAYS) <= 0


def test_it_is_copied(page: Page, live_server: Any, invited: World) -> None:
    page.context.grant_permissions(["clipboard-read", "clipboard-write"])
    link = invite(page, live_server, invited)
    page.get_by_role("button", name="Copy the link").click()
    expect(page.get_by_text("The link is copied.")).to_be_visible()
    assert page.evaluate("navigator.clipboard.readText()") == link


def test_it_is_copied_where_the_page_came_without_https(
    page: Page, live_server: Any, invited: World
) -> None:
    """Browsers offer the clipboard in secure contexts alone (W3C Clipboard API)."""
    page.add_init_script(NO_CLIPBOARD)
    link = invite(page, live_server, invited)
    page.get_by_role("button", name="Copy the link").click()
    expect(page.get_by_text("The link is copied.")).to_be_visible()
    page.locator("[data-link]").evaluate("field => { field.readOnly = false; field.value = ''; }")
    page.locator("[data-link]").focus()
    page.keyboard.press("Control+v")
    assert page.locator("[data-link]").input_value() == link


def test_sharing_is_offered_where_the_browser_can(
    page: Page, live_server: Any, invited: World
) -> None:
    page.add_init_script(SHARED)
    link = invite(page, live_server, invited)
    page.get_by_role("button", name="Share").click()
    expect(page.get_by_text("The link is passed on.")).to_be_visible()
    words = f"Join {invited.production} with this link. It works once."
    assert page.evaluate("window.shared") == [{"text": words, "url": link}]


def test_sharing_is_not_offered_where_it_cannot(
    page: Page, live_server: Any, invited: World
) -> None:
    page.add_init_script("delete Navigator.prototype.share;")
    invite(page, live_server, invited)
    expect(page.get_by_role("button", name="Copy the link")).to_be_visible()
    expect(page.get_by_role("button", name="Share")).to_be_hidden()


def test_a_new_link_takes_its_place(page: Page, live_server: Any, invited: World) -> None:
    old = invite(page, live_server, invited)
    page.get_by_text("Lost, or sent to the wrong person?").click()
    page.get_by_role("button", name="Make a new link").click()
    expect(page.get_by_text("This is a new link.")).to_be_visible()
    new = page.locator("[data-link]").input_value()
    assert code_on(page) == [new]
    statuses = [page.request.get(url).status for url in (old, new)]
    assert statuses == [404, 200]


def test_a_player_is_asked_by_the_same_component(
    page: Page, live_server: Any, invited: World
) -> None:
    log_in(page, live_server, invited.engineer)
    page.goto(live_server.url + at(invited, "notes:ask_signature", invited.rig.pk))
    page.get_by_role("button", name="Make the link").click()
    old = page.locator("[data-link]").input_value()
    assert code_on(page) == [old]
    page.get_by_text("Lost, or sent to the wrong person?").click()
    page.get_by_role("button", name="Make a new link").click()
    expect(page.locator("[data-link]")).not_to_have_value(old)
    assert page.request.get(old).status == 404
    assert OneTimeLink.objects.filter(withdrawn_at=None).count() == 1


@pytest.fixture
def without_scripts(browser: Browser) -> Iterator[Page]:
    context = browser.new_context(java_script_enabled=False)
    yield context.new_page()
    context.close()


def test_without_scripts_it_is_text_and_a_code(
    without_scripts: Page, live_server: Any, invited: World
) -> None:
    page = without_scripts
    link = invite(page, live_server, invited)
    assert link.startswith(f"{live_server.url}/join/")
    assert code_on(page) == [link]
    for name in ("Copy the link", "Share"):
        expect(page.get_by_role("button", name=name)).to_be_hidden()
