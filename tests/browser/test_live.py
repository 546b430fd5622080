"""What somebody else changes appears on the open page, in a real browser, without asking."""

from __future__ import annotations

import time
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from core.live import presence
from tests.support.live_place import Place
from tests.support.own_process import own_database

pytestmark = [pytest.mark.browser, pytest.mark.each_database]


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory, django_db_setup: None) -> Iterator[Place]:
    with own_database(tmp_path_factory.mktemp("live_pages")) as environment:
        found = Place(environment)
        yield found
        found.stop()


def open_rig(browser: Browser, place: Place, who: str, below: str = "") -> Page:
    context = browser.new_context(viewport={"width": 390, "height": 844}, service_workers="block")
    name, _, value = place.known[who].partition("=")
    base = f"http://127.0.0.1:{place.port}"
    context.add_cookies([{"name": name, "value": value, "url": base}])
    page = context.new_page()
    page.goto(f"{base}/p/{place.known['production']}/rigs/{place.known['rig']}/{below}")
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


TOPS = """field => {
  const box = document.querySelector(".live-notice").getBoundingClientRect();
  const own = field.getBoundingClientRect();
  return [box.top, box.bottom, own.top, own.bottom, innerHeight];
}"""


def test_somebody_who_types_further_down_is_told_in_view(browser: Browser, place: Place) -> None:
    page = open_rig(browser, place, "engineer", f"units/{place.known['unit']}/edit/")
    notes = page.get_by_role("textbox", name="Notes")
    notes.fill("A spare fuse is taped below the lid.")
    expect(page.locator("[data-live]")).not_to_be_in_viewport()
    place.turn("5:00")
    notice = page.locator(".live-notice")
    expect(notice).to_contain_text(f"{place.known['names']['tech']} changed")
    expect(notice).to_contain_text("5:00")
    expect(notice).to_be_in_viewport(ratio=1)
    # Once, politely: the list above says it, and the notice is no second voice.
    assert page.locator("[data-live]").get_attribute("aria-live") == "polite"
    assert notice.get_attribute("aria-live") is None
    # Wherever the field is, it is not covered.
    for where in ("start", "center", "end"):
        notes.evaluate("(field, where) => field.scrollIntoView({ block: where })", where)
        page.wait_for_timeout(100)
        top, bottom, field_top, field_bottom, height = notes.evaluate(TOPS)
        assert bottom <= field_top or top >= field_bottom, where
        assert 0 <= top < bottom <= height, where
    expect(notes).to_be_focused()
    notice.get_by_role("button", name="Look").click()
    expect(page.locator("[data-live]")).to_be_in_viewport()
    expect(page.locator(".live-changes")).to_contain_text("5:00")
    expect(notice).to_be_hidden()
    expect(notes).to_have_value("A spare fuse is taped below the lid.")
    page.context.close()
