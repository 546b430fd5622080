"""Clips side by side in Chromium: the keyboard, the layout, and the page without scripts."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse
from numpy.typing import NDArray
from playwright.sync_api import Page, expect

from tests.browser.side_by_side import POSITION, is_now, open_two
from tests.browser.test_every_page import sign_in
from tests.support.clips_side_by_side import clip_of, noise
from tests.support.seen import SIDEWAYS
from tests.support.world import make_world

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
SECONDS = 6.0


@pytest.fixture
def source() -> NDArray[np.float64]:
    return noise(SECONDS, level=0.2)


@pytest.fixture
def opened(
    page: Page, live_server: Any, transactional_db: None, source: NDArray[np.float64]
) -> Page:
    open_two(page, live_server.url, make_world(), source)
    return page


def test_the_keyboard_does_it_all(opened: Page) -> None:
    page = opened
    page.locator("[data-pick]").first.focus()
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    expect(page.get_by_role("button", name="Play")).to_be_focused()
    page.keyboard.press("Enter")
    is_now(page, "playing")
    page.keyboard.press("2")
    second = page.locator("[data-pick]").nth(1)
    expect(second).to_have_attribute("aria-pressed", "true")
    expect(page.locator("[data-said]")).to_contain_text("B is heard, played")
    page.keyboard.press("Home")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    assert 1.9 < page.evaluate(POSITION) < 3.5
    page.keyboard.press("f")
    page.wait_for_timeout(400)
    page.keyboard.press("t")
    page.keyboard.press("l")
    expect(page.get_by_role("button", name="Loop")).to_have_attribute("aria-pressed", "true")
    start, end = page.evaluate("document.querySelector('[data-side-by-side]').player.region")
    page.wait_for_timeout(900)
    assert start <= page.evaluate(POSITION) < end
    page.keyboard.press("l")
    second.focus()
    page.keyboard.press(" ")
    is_now(page, "paused")
    page.keyboard.press("1")
    expect(page.locator("[data-pick]").first).to_have_attribute("aria-pressed", "true")
    page.get_by_label("from, s").first.fill("5")
    page.get_by_label("to, s").first.fill("4")
    page.get_by_role("button", name="Loop").press("Enter")
    expect(page.locator("[data-said]")).to_contain_text("ends after it begins")


@pytest.mark.parametrize("theme", ["dark", "light"])
@pytest.mark.parametrize("width", [360, 1280])
def test_it_is_accessible_and_fits(opened: Page, theme: str, width: int) -> None:
    page = opened
    page.emulate_media(color_scheme=theme)  # type: ignore[arg-type]
    page.set_viewport_size({"width": width, "height": 900})
    page.locator("details").evaluate_all("all => all.forEach((each) => { each.open = true; })")
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()
    assert page.evaluate(SIDEWAYS) <= 0
    small = page.evaluate(
        """() => [...document.querySelectorAll(".listen-controls :is(button, input)")]
        .filter((each) => each.getBoundingClientRect().height < 43.5)
        .map((each) => each.outerHTML)"""
    )
    assert small == []


def test_without_scripts_every_clip_has_its_player(
    browser: Any, live_server: Any, transactional_db: None, source: NDArray[np.float64]
) -> None:
    world = make_world()
    one, two = clip_of(world, source, "Near"), clip_of(world, source / 4, "Far")
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    sign_in(page, live_server.url, world, "dark")
    address = reverse("notes:compare", args=[world.production.pk])
    page.goto(f"{live_server.url}{address}?clip={one.pk}&clip={two.pk}")
    expect(page.locator("audio")).to_have_count(2)
    expect(page.locator("audio").first).to_be_visible()
    expect(page.locator("[data-controls]")).to_be_hidden()
    context.close()
