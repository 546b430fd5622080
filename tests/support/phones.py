"""A browser as on a phone, its profile on disk, and a server that can be stopped and killed."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import BrowserContext, Locator, Page, Playwright, expect

from tests.conftest import find_browser
from tests.support.patience import PATIENCE_MS, PATIENCE_S
from tests.support.prepared import prepare
from tests.support.server_process import CLOCK_AHEAD, Server

QUIET = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--autoplay-policy=no-user-gesture-required",
    # A microphone that plays a tone and is given without asking.
    "--use-fake-device-for-media-stream",
    "--use-fake-ui-for-media-stream",
)
PHONE = {"width": 390, "height": 844}
SET_UP = """
from datetime import date, timedelta
from django.test import Client
from core.models import Leg
from rigs.photos.services import add_photos
from tests.support.everything import picture
from tests.support.world import make_world
world = make_world()
add_photos(world.rig, [picture()], about=None, caption="The whole rig", author=world.engineer)
today = date.today()
leg = Leg.objects.create(production=world.production, name="Winter halls",
                         starts_on=today, ends_on=today + timedelta(days=9))
def session(user):
    client = Client()
    client.force_login(user)
    return client.cookies["sessionid"].value
print(json.dumps({
    "place": f"/p/{world.production.pk}", "leg": str(leg.pk), "rig": str(world.rig.pk),
    "unit": str(world.unit.pk), "control": str(world.control.pk),
    "sessions": {str(role): session(user) for role, user in world.people.items()},
    "users": {str(role): str(user.pk) for role, user in world.people.items()},
}))
"""
FOUND = """
from notes.models import Acknowledgement, Note, Question
from core.models import DoneRequest
print(json.dumps({
    "notes": sorted(Note.objects.values_list("words", flat=True)),
    "read": Acknowledgement.objects.count(),
    "questions": list(Question.objects.values_list("words", flat=True)),
    "done": DoneRequest.objects.count(),
}))
"""
NO_PAGES = "(await caches.keys()).every(name => !name.startsWith('kept '))"
# What waits was made that many milliseconds sooner: a device's clock is asked only for spans.
MADE_SOONER = """(sooner) => new Promise((done) => {
  const opened = indexedDB.open("toneledger");
  opened.onsuccess = () => {
    const held = opened.result;
    const asked = held.transaction("queue", "readwrite").objectStore("queue").openCursor();
    asked.onsuccess = () => {
      const row = asked.result;
      if (!row) { held.close(); return done(); }
      row.update({ ...row.value, made_at: row.value.made_at - sooner });
      row.continue();
    };
  };
})"""
CACHES = "async () => (await caches.keys()).filter(name => name !== 'files')"


class Stage:
    """The server and the small world on it."""

    def __init__(self, folder: Path) -> None:
        self.server = Server(folder)
        self.world: dict[str, Any] = prepare(folder, SET_UP)

    @property
    def handover(self) -> str:
        return f"{self.world['place']}/handovers/{self.world['leg']}/"

    @property
    def rig(self) -> str:
        return f"{self.world['place']}/rigs/{self.world['rig']}/"

    @property
    def note_form(self) -> str:
        return f"{self.rig}notes/new/"

    def found(self) -> dict[str, Any]:
        found: dict[str, Any] = self.server.run(FOUND)
        return found


class Phone:
    """A browser with a profile on disk: it can be closed and opened again."""

    def __init__(self, playwright: Playwright, folder: Path, stage: Stage) -> None:
        self.playwright, self.folder, self.stage = playwright, folder, stage
        self.context: BrowserContext | None = None

    def open(self) -> Page:
        self.context = self.playwright.chromium.launch_persistent_context(
            str(self.folder), executable_path=find_browser(), args=list(QUIET), viewport=PHONE
        )
        self.context.set_default_timeout(PATIENCE_MS)
        return self.context.pages[0] if self.context.pages else self.context.new_page()

    def sign_in(self, role: str) -> None:
        assert self.context is not None
        session = self.stage.world["sessions"][role]
        # With an end: a cookie of the session would be gone when the phone is opened again.
        in_a_month = time.time() + 30 * 86400
        self.context.add_cookies(
            [
                {
                    "name": "sessionid",
                    "value": session,
                    "url": self.stage.server.url,
                    "expires": in_a_month,
                    "httpOnly": True,
                    "sameSite": "Lax",
                }
            ]
        )

    def close(self) -> None:
        if self.context is not None:
            self.context.close()
            self.context = None


@contextmanager
def phone_of(
    playwright: Playwright, folder: Path, stage: Stage, role: str
) -> Iterator[tuple[Phone, Page]]:
    """A phone on which `role` has opened the handover, which is kept."""
    phone = Phone(playwright, folder, stage)
    page = phone.open()
    try:
        phone.sign_in(role)
        go(page, stage, stage.handover)
        expect(page.locator("[data-keep]")).to_contain_text("Stored on this device")
        yield phone, page
    finally:
        phone.close()


def go(page: Page, stage: Stage, path: str) -> None:
    page.goto(stage.server.url + path)


def go_online(page: Page, stage: Stage, path: str) -> None:
    """To that page as the server has it: where it is slow, the kept copy comes and says so."""

    def is_of_the_server() -> bool:
        go(page, stage, path)
        return page.locator("[data-kept-notice]").count() == 0

    until(page, is_of_the_server)


def path_of(page: Page) -> str:
    return urlsplit(page.url).path


def write_note(page: Page, stage: Stage, words: str) -> None:
    go(page, stage, stage.note_form)
    page.get_by_label("What was said").fill(words)
    page.get_by_label("adjust").check()
    with page.expect_navigation():
        page.get_by_role("button", name="Save the note").click()


def badge(page: Page) -> Locator:
    return page.locator("[data-waiting]")


def until(page: Page, is_so: Callable[[], Any], what: str = "") -> None:
    """Until that holds, of what a page has sent to the test or the server has written."""
    end = time.monotonic() + PATIENCE_S
    while not is_so():
        assert time.monotonic() < end, what
        page.wait_for_timeout(50)


def wait_until(page: Page, what: str) -> None:
    """Until that expression of JavaScript, which may await, is true."""
    until(page, lambda: page.evaluate(f"async () => {what}"), what)


SHARE = """(words) => {
  const form = document.createElement("form");
  const [method, enctype, action] = ["post", "multipart/form-data", "/incoming/shared/"];
  Object.assign(form, { method, enctype, action });
  const field = (more) => form.append(Object.assign(document.createElement("input"), more));
  for (const name of ["title", "text", "url"]) field({ name, value: words[name] ?? "" });
  field({ name: "files", type: "file", multiple: true, id: "shared" });
  document.body.append(form);
}"""


def share(page: Page, *files: Any, **words: str) -> None:
    """Post to the app what a telephone shares, as the manifest says. A browser does so by itself;
    here it is the form of the page that is open."""
    page.evaluate(SHARE, words)
    page.set_input_files("#shared", list(files))
    with page.expect_navigation():
        page.evaluate("document.getElementById('shared').form.submit()")


def wait_until_sent(page: Page, count: int) -> None:
    expect(page.locator("[data-waiting-list] > li .badge-ok:visible")).to_have_count(count)


def let_time_go_by(page: Page, stage: Stage, minutes: int) -> None:
    """What waits on the device was written `minutes` before the server, now stopped, comes back."""
    page.evaluate(MADE_SOONER, minutes * 60_000)
    (stage.server.folder / CLOCK_AHEAD).write_text(str(minutes * 60))


def turn_gain(page: Page, stage: Stage, setting: str) -> None:
    go(page, stage, f"{stage.rig}units/{stage.world['unit']}/")
    page.get_by_role("textbox", name="Gain").fill(setting)
    with page.expect_navigation():
        page.get_by_role("button", name="Save the settings").click()


def check_page(page: Page) -> None:
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()
    wide = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
    assert page.evaluate(wide) == 0
