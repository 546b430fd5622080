"""A device without room says so and shows what was typed; a new release leaves the queue alone.

Chromium lets small writes through its own limit, so its refusal is played: what it would throw.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import FilePayload, Page, Playwright, expect

from tests.rigs.photos.pictures import encoded, two_tone
from tests.support.phones import (
    Stage,
    check_page,
    go,
    phone_of,
    share,
    wait_until,
    wait_until_sent,
    write_note,
)
from tests.support.server_process import REFUSE_POSTS, WORKER_BEGINS

pytestmark = pytest.mark.browser
# No room from “full” to “free”: neither for words nor for pages and pictures.
LIMITED = """
let isLimited = false;
const refused = () => new DOMException("no room", "QuotaExceededError");
const [putRow, putPage] = [IDBObjectStore.prototype.put, Cache.prototype.put];
IDBObjectStore.prototype.put = function (row) {
  if (isLimited && this.name === "queue") throw refused();
  return putRow.call(this, row);
};
Cache.prototype.put = function (...what) {
  return isLimited ? Promise.reject(refused()) : putPage.apply(this, what);
};
self.addEventListener("message", (event) => {
  if (!["full", "free"].includes(event.data.ask)) return;
  event.stopImmediatePropagation();
  isLimited = event.data.ask === "full";
  event.ports[0].postMessage({ found: event.data.ask });
});
"""
# Another release, in a browser that sends nothing while no page is open.
SECOND = """
delete ServiceWorkerRegistration.prototype.sync;
self.addEventListener("message", (event) => {
  if (event.data.ask !== "release") return;
  event.stopImmediatePropagation();
  event.ports[0].postMessage({ found: `second ${self.registration.sync}` });
});
"""


def asking(what: str) -> str:
    return f"""new Promise((done) => {{
      const {{ port1, port2 }} = new MessageChannel();
      port1.onmessage = ({{ data }}) => done(data.found);
      navigator.serviceWorker.controller.postMessage({{ ask: "{what}" }}, [port2]);
      setTimeout(() => done(null), 2000);
    }})"""


# Messages asked meanwhile would keep the old worker busy, and Chromium exchange none.
EXCHANGED = """((found) => !found.installing && !found.waiting &&
  found.active.state === "activated" && found.active === navigator.serviceWorker.controller
)(await navigator.serviceWorker.ready)"""


def make_it(page: Page, what: str) -> None:
    wait_until(page, f"(await {asking(what)}) === '{what}'")


def begin_with(stage: Stage, text: str) -> None:
    (stage.server.folder / WORKER_BEGINS).write_text(f"{{{text}}}\n")


def test_words_that_find_no_room_are_shown_and_not_lost(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    begin_with(stage, LIMITED)
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (_, page):
        stage.server.stop()
        make_it(page, "full")
        write_note(page, stage, "Wool, <not> wire.")
        expect(page.locator("[data-no-room]")).to_contain_text("This device has no room left")
        expect(page.locator(".waiting-words").first).to_have_text("Wool, <not> wire.")
        check_page(page)
        make_it(page, "free")
        write_note(page, stage, "Wool, <not> wire.")
        expect(page.locator("[data-waiting-list]")).to_contain_text("Wool, <not> wire.")
        go(page, stage, "/kept/")
        # What can be fetched again made way for words.
        expect(page.locator("[data-kept-list]")).to_contain_text("no room for all of it")


def test_a_handover_that_finds_no_room_says_so(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    begin_with(stage, LIMITED)
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (_, page):
        go(page, stage, "/kept/")
        page.get_by_role("button", name="Remove from this device").click()
        expect(page.locator("[data-kept-list] > li")).to_have_count(0)
        make_it(page, "full")
        go(page, stage, stage.handover)
        expect(page.locator("[data-keep]")).to_contain_text("Not all of this could be stored")
        expect(page.locator("[data-keep]")).to_contain_text("no room left")


def test_what_is_shared_finds_no_room_and_nothing_stored_makes_way_for_it(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    begin_with(stage, LIMITED.replace('this.name === "queue"', "row.file"))
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (_, page):
        make_it(page, "full")
        picture: FilePayload = {
            "name": "knobs.jpg",
            "mimeType": "image/jpeg",
            "buffer": encoded(two_tone(320, 240)),
        }
        share(page, picture, text="Less wire")
        expect(page.locator(".incoming-refused")).to_contain_text("this device has no room left")
        expect(page.locator(".incoming-row")).to_have_text(re.compile("Less wire"))
        make_it(page, "free")
        go(page, stage, "/kept/")
        expect(page.locator("[data-kept-list]")).to_contain_text("Handover: Winter halls")
        expect(page.get_by_text("not all of it could be stored")).to_be_hidden()


def test_a_new_release_and_a_browser_without_background_sync_lose_nothing(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (_, page):
        stage.server.hold(REFUSE_POSTS)
        write_note(page, stage, "From the old release.")
        begin_with(stage, SECOND)
        page.evaluate(
            "navigator.serviceWorker.ready.then((found) => found.update()).then(() => null)"
        )
        wait_until(page, EXCHANGED)
        assert page.evaluate(f"async () => {asking('release')}") == "second undefined"
        write_note(page, stage, "From the new one.")
        expect(page.locator("[data-waiting-list] > li")).to_have_count(2)
        stage.server.let_go()
        go(page, stage, "/waiting/")
        wait_until_sent(page, 2)
        assert stage.found()["notes"] == ["From the new one.", "From the old release."]
