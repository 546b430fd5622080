"""A device without room says so and shows what was typed; a new release leaves the queue alone."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Page, Playwright, expect

from tests.support.phones import (
    Stage,
    check_page,
    go,
    phone_of,
    wait_until,
    wait_until_sent,
    write_note,
)
from tests.support.server_process import REFUSE_POSTS, WORKER_BEGINS

pytestmark = pytest.mark.browser
RELEASE = """new Promise((done) => {
  const { port1, port2 } = new MessageChannel();
  port1.onmessage = ({ data }) => done(data.found);
  navigator.serviceWorker.controller.postMessage({ ask: "release" }, [port2]);
  setTimeout(() => done(null), 2000);
})"""
# Another release, in a browser that sends nothing while no page is open.
SECOND = """
delete ServiceWorkerRegistration.prototype.sync;
self.addEventListener("message", (event) => {
  if (event.data.ask !== "release") return;
  event.stopImmediatePropagation();
  event.ports[0].postMessage({ found: `second ${self.registration.sync}` });
});
"""


def leave_room(page: Page, stage: Stage, size: int) -> None:
    """All that the site may store, in bytes, by Chromium’s own limit."""
    session = page.context.new_cdp_session(page)
    session.send(
        "Storage.overrideQuotaForOrigin", {"origin": stage.server.url, "quotaSize": size}
    )  # fmt: skip


def test_words_that_find_no_room_are_shown_and_not_lost(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (_, page):
        stage.server.stop()
        leave_room(page, stage, 1)
        write_note(page, stage, "Wool, <not> wire.")
        expect(page.locator("[data-no-room]")).to_contain_text("This device has no room left")
        expect(page.locator(".waiting-words").first).to_have_text("Wool, <not> wire.")
        check_page(page)
        page.go_back()
        expect(page.get_by_label("What was said")).to_have_value("Wool, <not> wire.")
        leave_room(page, stage, 10**9)
        with page.expect_navigation():
            page.get_by_role("button", name="Save the note").click()
        expect(page.locator("[data-waiting-list]")).to_contain_text("Wool, <not> wire.")
        go(page, stage, "/kept/")
        # What could be fetched again made way for words.
        expect(page.locator("[data-kept-list]")).to_contain_text("no room for all of it")


def test_a_handover_that_finds_no_room_says_so(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (_, page):
        go(page, stage, "/kept/")
        page.get_by_role("button", name="Remove from this device").click()
        expect(page.locator("[data-kept-list] > li")).to_have_count(0)
        leave_room(page, stage, 300_000)
        go(page, stage, stage.handover)
        expect(page.locator("[data-keep]")).to_contain_text("Not all of this could be kept")
        expect(page.locator("[data-keep]")).to_contain_text("no room left")


def test_a_new_release_and_a_browser_without_background_sync_lose_nothing(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (_, page):
        stage.server.hold(REFUSE_POSTS)
        write_note(page, stage, "From the old release.")
        (stage.server.folder / WORKER_BEGINS).write_text(SECOND)
        page.evaluate("navigator.serviceWorker.ready.then((found) => found.update()).then(() => null)")
        wait_until(page, f"(await {RELEASE}) === 'second undefined'")
        write_note(page, stage, "From the new one.")
        expect(page.locator("[data-waiting-list] > li")).to_have_count(2)
        stage.server.let_go()
        go(page, stage, "/waiting/")
        wait_until_sent(page, 2)
        assert stage.found()["notes"] == ["From the new one.", "From the old release."]
