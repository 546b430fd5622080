"""Who plays tonight, on a phone: somebody deps, and the lists say so."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Page, expect

from core.models import Show
from tests.support.pages import at
from tests.support.phones import check_page
from tests.support.world import World

pytestmark = pytest.mark.browser


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
