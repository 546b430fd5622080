"""What is looked at most: in two widths and two themes, and with text at twice its size."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import BrowserType, Page

from tests.browser.test_every_page import sign_in
from tests.support.pages import at
from tests.support.seen import TWICE, look, sideways
from tests.support.world import World, make_world

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def small(transactional_db: None) -> World:
    return make_world("A production with a name long enough to need two lines on a telephone")


def pages_of(world: World) -> list[str]:
    return [
        at(world, "core:production"),
        at(world, "rigs:input_list"),
        at(world, "rigs:history", world.rig.pk),
        at(world, "rigs:unit", world.rig.pk, world.unit.pk),
        at(world, "rigs:device_edit", world.mic.pk),  # with what cannot be changed any more
    ]


def test_texts_are_readable_and_axe_finds_nothing(
    page: Page, live_server: Any, small: World
) -> None:
    sign_in(page, live_server.url, small, "auto")
    wrong = []
    for url in pages_of(small):
        page.goto(live_server.url + url)
        wrong += look(page)
    assert wrong == [], "\n".join(wrong)


def test_nothing_scrolls_sideways_with_text_at_twice_its_size(
    browser_type: BrowserType, browser_type_launch_args: Any, live_server: Any, small: World
) -> None:
    start = {**browser_type_launch_args, "args": [*browser_type_launch_args["args"], *TWICE]}
    browser = browser_type.launch(**start)
    context = browser.new_context(service_workers="block")
    wrong = []
    try:
        page = context.new_page()
        sign_in(page, live_server.url, small, "auto")
        for url in pages_of(small):
            page.goto(live_server.url + url)
            wrong += sideways(page)
        size = page.evaluate("getComputedStyle(document.documentElement).fontSize")
    finally:
        context.close()
        browser.close()
    assert size == "32px"
    assert wrong == [], "\n".join(wrong)
