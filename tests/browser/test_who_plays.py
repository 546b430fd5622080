"""Who plays tonight, on a phone: somebody deps, and the lists say so."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from core.models import Show
from tests.rigs.shows.shows import make_show
from tests.support.pages import as_user, at
from tests.support.phones import check_page
from tests.support.world import World, make_world

pytestmark = pytest.mark.browser


@pytest.fixture
def world(transactional_db: None) -> World:
    return make_world()


@pytest.fixture
def show(world: World) -> Show:
    return make_show(world)


@pytest.fixture
def phone(world: World, live_server: Any, browser: Browser) -> Iterator[Page]:
    context = browser.new_context(
        viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True
    )
    session = as_user(world.tech).cookies["sessionid"].value
    context.add_cookies([{"name": "sessionid", "value": session, "url": str(live_server)}])
    yield context.new_page()
    context.close()


def test_somebody_deps_for_a_player(
    world: World, show: Show, live_server: Any, phone: Page
) -> None:
    phone.goto(f"{live_server}{at(world, 'notes:line_check', show.pk)}")
    phone.get_by_role("link", name="Who plays").click()
    row = phone.locator(".lineup-row").filter(has_text=world.player.name)
    check_page(phone)
    row.get_by_role("link", name="A dep").click()
    check_page(phone)
    phone.get_by_label("Who plays").fill("Rook Sable")
    phone.get_by_label("What differs").fill("Own bass, in-ear, hi-hat loudest")
    phone.get_by_role("button", name="Save").click()
    said = f"Rook Sable for {world.player}"
    expect(row).to_contain_text(said)
    expect(row).to_contain_text("hi-hat loudest")
    check_page(phone)
    phone.goto(f"{live_server}{at(world, 'notes:line_check', show.pk)}")
    expect(phone.locator(".line").first).to_contain_text(said)
    expect(phone.locator(".rigs-said")).to_contain_text("Own bass, in-ear, hi-hat loudest")
    check_page(phone)
