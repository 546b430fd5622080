"""The set of a show on a phone: arrows, keys, the number dragged, and a save."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect

from core.models import Leg, Show, Song
from core.sets.order import set_of_show
from tests.browser.test_songs import fits, signed_in
from tests.support.pages import at
from tests.support.phones import PHONE
from tests.support.world import World

pytestmark = pytest.mark.browser
TITLES = ["Alder Ebb", "Gravel", "Lamps", "Paper Ferry"]


@pytest.fixture
def show(world: World) -> Show:
    place = world.production
    for position, title in enumerate(TITLES, start=1):
        Song.objects.create(production=place, title=title, position=position, length_s=200)
    dates = {"starts_on": date(2026, 9, 1), "ends_on": date(2026, 9, 30)}
    leg = Leg.objects.create(production=place, name="Coast", **dates)
    return Show.objects.create(leg=leg, held_on=date(2026, 9, 5), room="Barn")


@pytest.fixture(params=[True, False], ids=["script", "no script"])
def phone(
    request: Any, world: World, show: Show, live_server: Any, browser: Browser
) -> Iterator[Page]:
    context = browser.new_context(
        viewport=PHONE, has_touch=True, is_mobile=True, java_script_enabled=request.param
    )
    page = signed_in(context, world, live_server).new_page()
    page.goto(f"{live_server}{at(world, 'core:show_set', show.pk)}")
    yield page
    context.close()


def played(show: Show) -> list[str]:
    return [line.name for line in set_of_show(show).played]


def test_two_swapped_and_one_cut(phone: Page, show: Show) -> None:
    """With a script all of it is saved together; without one an arrow saves by itself."""
    phone.get_by_role("button", name="Move Gravel up").tap()
    phone.locator("summary", has_text="Lamps").tap()
    phone.locator("[data-line]", has_text="Lamps").get_by_label("Cut").tap()
    with phone.expect_navigation():
        phone.get_by_role("button", name="Save").tap()
    expect(phone.get_by_text("3 songs")).to_be_visible()
    assert played(show) == ["Gravel", "Alder Ebb", "Paper Ferry"]


@pytest.fixture
def scripted(world: World, show: Show, live_server: Any, browser: Browser) -> Iterator[Page]:
    context = browser.new_context(viewport=PHONE)
    page = signed_in(context, world, live_server).new_page()
    page.goto(f"{live_server}{at(world, 'core:show_set', show.pk)}")
    yield page
    context.close()


def shown(page: Page) -> list[str]:
    return page.locator("[data-line] .set-name").all_inner_texts()


def test_a_line_is_dragged_by_its_number(scripted: Page, show: Show) -> None:
    grips = scripted.locator("[data-grip]")
    start, end = grips.nth(3).bounding_box(), grips.nth(0).bounding_box()
    assert start
    assert end
    scripted.mouse.move(start["x"] + 20, start["y"] + 20)
    scripted.mouse.down()
    for step in range(1, 11):
        y = start["y"] + 20 + (end["y"] + 4 - start["y"] - 20) * step / 10
        scripted.mouse.move(start["x"] + 20, y)
    scripted.mouse.up()
    assert shown(scripted) == ["Paper Ferry", "Alder Ebb", "Gravel", "Lamps"]
    expect(scripted.get_by_text("Not saved yet")).to_be_visible()
    with scripted.expect_navigation():
        scripted.get_by_role("button", name="Save").click()
    assert played(show) == ["Paper Ferry", "Alder Ebb", "Gravel", "Lamps"]


def test_arrow_keys_move_a_line(scripted: Page, show: Show) -> None:
    scripted.get_by_label("Place of Lamps").focus()
    scripted.keyboard.press("ArrowUp")
    scripted.keyboard.press("ArrowUp")
    assert shown(scripted)[0] == "Lamps"
    with scripted.expect_navigation():
        scripted.keyboard.press("Enter")
    assert played(show)[0] == "Lamps"


def test_the_page_fits_and_reads(scripted: Page) -> None:
    scripted.set_viewport_size({"width": 360, "height": 800})
    assert fits(scripted)
    scripted.locator("summary", has_text="Gravel").click()
    assert fits(scripted)
    pressed = scripted.locator(".set-form button, .set-form summary, .set-place input")
    small = pressed.evaluate_all(
        """all => all.filter(e => e.offsetParent && e.getBoundingClientRect().height < 44)
            .map(e => e.outerHTML)"""
    )
    assert small == []
    found = Axe().run(scripted)
    assert found.violations_count == 0, found.generate_report()
