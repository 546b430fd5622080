"""A hired head with six dials, said on a phone at the edge of the stage."""

from __future__ import annotations

from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from core.models import Show
from rigs.models import Revision, UnitAtShow
from tests.support.pages import at
from tests.support.world import World

pytestmark = pytest.mark.browser

SIX = (
    ("Drive", "2:30"),
    ("Bass", "11:00"),
    ("Middle", "12:00"),
    ("Treble", "1:30"),
    ("Presence", "9:00"),
    ("Level", "12:30"),
)


def test_a_hired_head_is_said_and_seen(
    world: World, show: Show, live_server: Any, phone: Page
) -> None:
    before = Revision.objects.count()
    phone.goto(f"{live_server}{at(world, 'rigs:show_gear', show.pk)}")
    phone.locator("summary", has_text="Bass main").tap()
    phone.get_by_role("link", name="Another unit for Head").tap()
    phone.get_by_label("model, in your words").fill("Four Hundred")
    phone.get_by_label("maker").fill("Brack")
    for n, (name, setting) in enumerate(SIX):
        phone.locator(f"[name=n-{n}]").fill(name)
        phone.locator(f"[name=v-{n}]").fill(setting)
    phone.locator("[name=why]").select_option("hire")
    phone.get_by_role("button", name="Save", exact=True).tap()
    expect(phone.get_by_role("heading", name="Head, Ines Halloran")).to_be_visible()
    assert phone.locator(".dial").count() == len(SIX)
    expect(phone.get_by_text("documented: Tarn")).to_be_visible()
    row = UnitAtShow.objects.get()
    assert [(c.name, c.setting) for c in row.controls.all()] == list(SIX)
    assert Revision.objects.count() == before
    assert_fits(phone)
    phone.get_by_role("link", name="The rig tonight").tap()
    expect(phone.get_by_text("Brack Four Hundred").first).to_be_visible()
    assert_fits(phone)


def assert_fits(page: Page) -> None:
    """No sideways scroll, targets of a finger’s size, and nothing that axe finds."""
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    for button in page.locator("main .button:visible").all():
        box = button.bounding_box()
        assert box is not None
        assert box["height"] >= 44
    found = Axe().run(page)
    assert not found.response["violations"], found.generate_report()
