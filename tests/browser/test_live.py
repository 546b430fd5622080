"""What somebody else changes appears on the open page, in a real browser, without asking."""

from __future__ import annotations

import time
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from core.live import presence
from tests.support.live_place import Place
from tests.support.own_process import own_database

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory, django_db_setup: None) -> Iterator[Place]:
    with own_database(tmp_path_factory.mktemp("live_pages")) as environment:
        found = Place(environment)
        yield found
        found.stop()


def open_rig(browser: Browser, place: Place, who: str) -> Page:
    context = browser.new_context(viewport={"width": 390, "height": 844}, service_workers="block")
    name, _, value = place.known[who].partition("=")
    base = f"http://127.0.0.1:{place.port}"
    context.add_cookies([{"name": name, "value": value, "url": base}])
    page = context.new_page()
    page.goto(f"{base}/p/{place.known['production']}/rigs/{place.known['rig']}/")
    page.wait_for_selector("[data-live][data-state=open]", state="attached")
    return page


def test_both_see_who_is_here_and_what_was_changed(browser: Browser, place: Place) -> None:
    first, second = (open_rig(browser, place, who) for who in ("engineer", "tech"))
    names = place.known["names"]
    expect(first.locator("[data-live]")).to_contain_text(f"{names['tech']} is looking at this")
    expect(second.locator("[data-live]")).to_contain_text(f"{names['engineer']} is looking at this")
    done = place.turn("4:00")
    expect(first.locator(".live-changes")).to_contain_text("4:00")
    assert time.time() - done < presence.BEAT_S * 2 / 3  # woken by it, not by a beat
    expect(first.locator(".live-changes")).to_contain_text(names["tech"])
    first.get_by_role("link", name="Show it here").click()
    expect(first.locator(".live-changes")).to_have_count(1)
    assert first.locator(".live-changes li").count() == 0  # the page shows it itself by now
    assert first.evaluate("document.documentElement.scrollWidth") == 390
    for page in (first, second):
        page.context.close()
