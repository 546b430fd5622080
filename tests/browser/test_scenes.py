"""A scene made and named on a phone, read on the run sheet; the path drawn in it by a link."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect

from rigs.models import Scene, SongSetting
from tests.rigs.scenes.board import make_board
from tests.rigs.songs.band import make_song
from tests.support.pages import as_user
from tests.support.pages import at as place
from tests.support.rig_pages import at
from tests.support.world import World

pytestmark = pytest.mark.browser
PHONE = {"width": 390, "height": 844}


@pytest.fixture(params=[True, False], ids=["with JavaScript", "without"])
def phone(request: Any, world: World, live_server: Any, browser: Browser) -> Iterator[Page]:
    context = browser.new_context(
        viewport=PHONE, has_touch=True, is_mobile=True, java_script_enabled=request.param
    )
    session = as_user(world.tech).cookies["sessionid"].value
    context.add_cookies([{"name": "sessionid", "value": session, "url": str(live_server)}])
    yield context.new_page()
    context.close()


def test_from_the_switcher_to_the_run_sheet(world: World, live_server: Any, phone: Page) -> None:
    board, song = make_board(world), make_song(world, "Alder Ebb", 1)
    phone.goto(f"{live_server}{at(world, 'unit', board.controller)}")
    phone.locator("#scenes").get_by_role("link", name="Add").tap()
    phone.locator("input[name=slot]").fill("2")
    phone.locator("input[name=name]").fill("Echo")
    phone.locator("summary", has_text="Echo").tap()
    phone.locator(f"select[name=u-{board.pedal}]").select_option("bypassed")
    phone.locator(f"input[name=c-{board.time}]").fill("620")
    phone.get_by_role("button", name="Save", exact=True).tap()
    expect(phone.locator("#scenes")).to_contain_text("Echo bypassed, Echo Time 620 ms")
    assert str(Scene.objects.get()) == "2 Echo"

    phone.goto(f"{live_server}{at(world, 'rig_song', song)}")
    phone.locator(f"select[name=s-{board.controller}]").select_option(label="2 Echo")
    phone.get_by_role("button", name="Save", exact=True).tap()
    expect(phone.get_by_text("Scene on Foot board")).to_be_visible()
    assert SongSetting.objects.get().scene == Scene.objects.get()

    phone.goto(f"{live_server}{place(world, 'rigs:run_sheet')}")
    press = phone.locator(".run-press")
    expect(press).to_contain_text("2 Echo")
    expect(press.locator("dl")).to_be_hidden()
    press.locator("summary").tap()
    expect(press.locator("dl")).to_contain_text("620 ms")
    assert height(phone, ".run-press summary") >= 44
    assert fits(phone)

    phone.goto(f"{live_server}{at(world, 'rig')}")
    phone.locator(".scene-choice").get_by_role("link", name="2 Echo").tap()
    expect(
        phone.locator(".is-narrow .path-bypassed, .path-drawing:not(.is-wide) .path-bypassed").first
    ).to_be_visible()
    assert fits(phone)
    assert height(phone, ".scene-choice a") >= 44


def height(page: Page, selector: str) -> float:
    return float(page.locator(selector).first.evaluate("e => e.getBoundingClientRect().height"))


def fits(page: Page) -> bool:
    return bool(page.evaluate("document.documentElement.scrollWidth <= innerWidth"))


@pytest.mark.parametrize("phone", [True], indirect=True)
def test_nothing_stands_in_the_way(world: World, live_server: Any, phone: Page) -> None:
    board = make_board(world)
    phone.goto(f"{live_server}{at(world, 'scene_new', board.controller)}")
    found = Axe().run(phone)
    assert not found.response["violations"], found.generate_report()
