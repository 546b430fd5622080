"""The parts of a rig's page come as they are reached, and stand there for anchors, paper and those
who come back."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse
from playwright.sync_api import Browser, Page, expect

from tests.support.listening import hear, turn_for
from tests.support.phones import PHONE, until
from tests.support.world import World

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
OPEN = "It booms in the corner."
WHY = "The string buzzes."


@pytest.fixture
def rig(world: World, live_server: Any) -> str:
    """The address of a rig with an open note and a change that says why."""
    hear(world, words=OPEN)
    turn_for(world, "4:30", hear(world, words=WHY))
    address: str = live_server.url + world.rig.get_absolute_url()
    return address


def sign_in(page: Page, server: str, world: World) -> Page:
    client = Client()
    client.force_login(world.tech)
    session = client.cookies[settings.SESSION_COOKIE_NAME].value
    page.context.add_cookies(
        [{"name": settings.SESSION_COOKIE_NAME, "value": session, "url": server}]
    )
    page.set_viewport_size(PHONE)
    return page


def test_a_part_comes_as_it_is_reached_and_not_before(
    page: Page, live_server: Any, world: World, rig: str
) -> None:
    sign_in(page, live_server.url, world)
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.set_viewport_size({"width": 390, "height": 200})
    page.goto(rig, wait_until="networkidle")
    parts = [url for url in asked if "/part/" in url]
    assert parts == []
    page.locator("#open").scroll_into_view_if_needed()
    expect(page.locator("#open")).to_contain_text(OPEN)
    expect(page.locator("#why")).to_contain_text(WHY)
    page.locator("#photos").scroll_into_view_if_needed()
    page.locator("#open").scroll_into_view_if_needed()
    expect(page.locator("[data-part]")).to_have_count(0)
    parts = [url for url in asked if "/part/" in url]
    assert len(parts) == len(set(parts)) == 3


def test_an_anchor_leads_into_a_part(page: Page, live_server: Any, world: World, rig: str) -> None:
    sign_in(page, live_server.url, world)
    page.goto(f"{rig}#open")
    expect(page.locator("#open")).to_contain_text(OPEN)
    expect(page.locator("#why")).to_contain_text(WHY)
    expect(page.locator("#open-title")).to_be_in_viewport()


def test_paper_has_all_of_it(page: Page, live_server: Any, world: World, rig: str) -> None:
    sign_in(page, live_server.url, world)
    page.set_viewport_size({"width": 390, "height": 200})
    page.goto(rig, wait_until="networkidle")
    expect(page.locator("[data-part]")).to_have_count(3)
    page.pdf()
    expect(page.locator("[data-part]")).to_have_count(0)
    expect(page.locator("#why")).to_contain_text(WHY)


def test_whoever_comes_back_stands_where_they_were(
    page: Page, live_server: Any, world: World, rig: str
) -> None:
    sign_in(page, live_server.url, world)
    page.goto(rig)
    page.locator("#open").scroll_into_view_if_needed()
    expect(page.locator("#open")).to_contain_text(OPEN)
    expect(page.locator("[data-part]")).to_have_count(0)
    note = page.locator("#open .thread-item", has_text=OPEN)
    note.get_by_role("link", name="Heard").click()
    expect(page.locator("main")).to_contain_text(OPEN)
    page.go_back()
    expect(page.locator("#open")).to_contain_text(OPEN)
    expect(page.locator("#open")).to_be_in_viewport()


@pytest.fixture
def plain(browser: Browser, live_server: Any, world: World) -> Iterator[Page]:
    """A page whose requests the test sees, since no worker makes them."""
    context = browser.new_context(service_workers="block")
    yield sign_in(context.new_page(), live_server.url, world)
    context.close()


def test_the_focus_stays_at_the_part(plain: Page, rig: str) -> None:
    page = plain
    held: list[Any] = []
    page.route("**/part/open/", lambda route: held.append(route))
    page.goto(rig)
    page.locator("#open a").focus()
    expect(page.locator("#open")).to_have_attribute("aria-busy", "true")
    until(page, lambda: held)  # asked for, it is a while until the test hears of it
    held[0].continue_()
    expect(page.locator("#open")).to_contain_text(OPEN)
    expect(page.locator("#open")).to_be_focused()


def test_without_a_script_a_link_leads_to_each(
    browser: Browser, live_server: Any, world: World, rig: str
) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = sign_in(context.new_page(), live_server.url, world)
    for part, words in (("why", WHY), ("open", OPEN), ("findings", "All findings of this rig")):
        page.goto(rig)
        page.locator(f"#{part}").get_by_role("link", name="Show it").click()
        expect(page.locator(f"#{part}")).to_contain_text(words)
    context.close()


def test_a_part_that_does_not_come_leaves_its_link(plain: Page, world: World, rig: str) -> None:
    page = plain
    page.route("**/part/**", lambda route: route.abort())
    page.goto(rig)
    page.locator("#open").scroll_into_view_if_needed()
    expect(page.locator("#open")).not_to_have_attribute("aria-busy", "true")
    address = reverse("rigs:rig_open", args=[world.production.pk, world.rig.pk])
    link = page.locator("#open").get_by_role("link", name="Show it")
    expect(link).to_have_attribute("href", address)
