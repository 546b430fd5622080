"""What a song changes, typed on a phone and by keyboard alone; the run sheet in the dark."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, BrowserContext, Page, expect

from core.models import Song
from rigs.models import Rig, SongSetting
from rigs.revisions.record import record
from tests.rigs.songs.band import DROP_C, STANDARD, difference, guitars, make_song
from tests.support.pages import as_user
from tests.support.pages import at as place
from tests.support.rig_pages import at
from tests.support.world import World

pytestmark = pytest.mark.browser


@pytest.fixture
def songs(world: World) -> list[Song]:
    return [make_song(world, "Alder Ebb", 1, gap_s=10), make_song(world, "Gravel", 2)]


@pytest.fixture
def desk(world: World, live_server: Any, browser: Browser) -> Iterator[Page]:
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    yield signed_in(context, world, live_server).new_page()
    context.close()


def signed_in(context: BrowserContext, world: World, server: Any) -> BrowserContext:
    session = as_user(world.tech).cookies["sessionid"].value
    context.add_cookies([{"name": "sessionid", "value": session, "url": str(server)}])
    return context


def fits(page: Page) -> bool:
    return bool(page.evaluate("document.documentElement.scrollWidth <= innerWidth"))


def test_by_touch(world: World, songs: list[Song], live_server: Any, phone: Page) -> None:
    phone.goto(f"{live_server}{at(world, 'rig')}")
    phone.get_by_role("heading", name="Per song").tap()
    phone.get_by_role("link", name="The whole set").tap()
    phone.get_by_role("link", name="Gravel").tap()
    gain = phone.get_by_label("Gain")
    gain.tap()
    gain.fill("3.00")
    phone.get_by_label("7 Bass mic").select_option("not used in this song")
    phone.get_by_label("Cue").first.fill("drive pedal on")
    phone.get_by_label("Time").first.fill("1:05")
    phone.get_by_role("button", name="Save", exact=True).tap()
    expect(phone.get_by_text("What “Gravel” changes is saved.")).to_be_visible()
    expect(phone.get_by_text("usually 2:30")).to_be_visible()
    assert fits(phone)
    found = {row.what: (row.value, row.at_s) for row in SongSetting.objects.all()}
    assert found == {
        "control": ("3:00", None),
        "input": ("off", None),
        "cue": ("drive pedal on", 65),
    }


def test_by_keyboard(world: World, songs: list[Song], live_server: Any, desk: Page) -> None:
    desk.goto(f"{live_server}{at(world, 'rig_song', songs[0])}")
    gain = desk.get_by_label("Gain")
    gain.focus()
    desk.keyboard.type("4:00")
    desk.keyboard.press("ArrowDown")  # a quarter of an hour back on the dial
    assert gain.input_value() == "3:45"
    desk.keyboard.press("Enter")
    expect(desk.get_by_label("7 Bass mic")).to_be_focused()
    save = desk.get_by_role("button", name="Save", exact=True)
    for _ in range(30):
        if save.evaluate("each => each === document.activeElement"):
            break
        desk.keyboard.press("Tab")
    expect(save).to_be_focused()
    desk.keyboard.press("Enter")
    expect(desk.get_by_text("What “Alder Ebb” changes is saved.")).to_be_visible()
    assert SongSetting.objects.get().value == "3:45"


@pytest.fixture
def rig(world: World, songs: list[Song]) -> Rig:
    rig, (_, second) = guitars(world, DROP_C, STANDARD)
    edits = [
        difference(rig, songs[1], "instrument", second),
        difference(rig, songs[1], "cue", value="a very long cue " * 20),
    ]
    record(rig, edits, author=world.tech, base=rig.head_number)
    return rig


@pytest.mark.parametrize("theme", ["dark", "light"])
def test_the_run_sheet_on_a_phone(
    world: World, rig: Rig, live_server: Any, phone: Page, theme: str
) -> None:
    phone.context.add_cookies([{"name": "theme", "value": theme, "url": str(live_server)}])
    phone.goto(f"{live_server}{place(world, 'core:songs')}")
    expect(phone.get_by_text("too short by 0:20")).to_be_visible()
    phone.get_by_role("link", name="Run sheet").tap()
    phone.get_by_role("link", name="Alder Ebb to Gravel").tap()
    expect(phone.get_by_text("Change from “Guitar 1” to “Guitar 2”")).to_be_in_viewport()
    assert fits(phone)
    found = Axe().run(phone).response["violations"]
    assert [violation["id"] for violation in found] == []
    phone.get_by_label("Player").select_option(label="Ines Halloran, bass")
    phone.get_by_role("button", name="Show").tap()
    expect(phone.get_by_role("heading", level=1)).to_have_text("Run sheet: Ines Halloran")
