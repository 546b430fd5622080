"""The main path of a guest on a phone: shared, read, kept, read without a network, gone."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Playwright, expect

from tests.support.phones import Phone, Stage, check_page, go, wait_until

pytestmark = pytest.mark.browser
KEPT = "(await caches.keys()).some(name => name.startsWith('guest '))"
GONE = "(await caches.keys()).every(name => !name.startsWith('guest '))"
# The end of what is kept comes: it is a minute ago by the device's clock.
LET_IT_END = """() => new Promise((done) => {
  const opened = indexedDB.open("toneledger");
  opened.onsuccess = () => {
    const asked = opened.result.transaction("about", "readwrite").objectStore("about").openCursor();
    asked.onsuccess = () => {
      const row = asked.result;
      if (!row) { opened.result.close(); return done(); }
      const isOfGuest = row.value.id.startsWith("guest ");
      if (isOfGuest) row.update({ ...row.value, until: Date.now() - 60000 });
      row.continue();
    };
  };
})"""


def test_a_guest_keeps_a_rig_until_its_time_is_over(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    crew = Phone(playwright, tmp_path / "crew", stage)
    page = crew.open()
    crew.sign_in("tech")
    go(page, stage, stage.rig)
    page.get_by_role("link", name="Share").click()
    page.get_by_label("For whom").fill("House engineer, Weir Hall")
    page.get_by_role("button", name="Make the link").click()
    url = page.get_by_label("Send the link").input_value()
    check_page(page)
    crew.close()

    guest = Phone(playwright, tmp_path / "guest", stage)
    page = guest.open()
    try:
        page.goto(url)
        expect(page.get_by_text("House engineer, Weir Hall")).to_be_visible()
        check_page(page)
        page.get_by_role("button", name="Keep it on this phone").click()
        expect(page.locator("[data-guest-said]")).to_contain_text("can be read without a network")
        wait_until(page, KEPT)
        stage.server.stop()
        page.goto(url)
        expect(page.locator("[data-kept-notice]")).to_contain_text("The server cannot be reached")
        expect(page.get_by_role("heading", name="Bass main")).to_be_visible()
        photo = page.locator("img").first
        assert photo.evaluate("async (img) => { await img.decode(); return img.naturalWidth; }") > 0
        page.get_by_role("link", name="Bass mic").first.click()
        expect(page.get_by_role("heading", name="Bass mic")).to_be_visible()
        page.evaluate(LET_IT_END)
        page.goto(url)
        expect(page.get_by_text("The time of this link is over")).to_be_visible()
        wait_until(page, GONE)
    finally:
        guest.close()


SHARE_PATCH = """
import json
from datetime import date, timedelta
from core.guests.links import share
from core.models import Leg, Show, User
leg = Leg.objects.get()
show = Show.objects.create(leg=leg, held_on=leg.starts_on, room="The Weir")
made = share(
    production=leg.production, kind="patch", subject=show.pk,
    by=User.objects.filter(memberships__role="engineer").first(), for_whom="House",
    until=date.today() + timedelta(days=5), address="/g/{}/".format, may_answer=True,
)
print(json.dumps(made.url))
"""
ASKED = """
import json
from rigs.models import PatchQuestion
print(json.dumps([each.words for each in PatchQuestion.objects.all()]))
"""


def test_a_guests_question_without_a_network_is_shown_and_sent_once_later(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    url = f"{stage.server.url}{stage.server.run(SHARE_PATCH)}"
    guest = Phone(playwright, tmp_path / "guest", stage)
    page = guest.open()
    try:
        page.goto(url)
        page.get_by_role("button", name="Keep it on this phone").click()
        expect(page.locator("[data-guest-said]")).to_contain_text("can be read without a network")
        stage.server.stop()
        page.goto(url)
        page.get_by_label("Your question").fill("Is box A ours?")
        page.get_by_label("Your name").fill("Mara Quill")
        page.get_by_role("button", name="Send").click()
        expect(page.get_by_text("The server cannot be reached, and")).to_be_visible()
        expect(page.locator(".waiting-words")).to_contain_text("Is box A ours?")
        stage.server.start()
        page.go_back()
        expect(page.get_by_label("Your question")).to_have_value("Is box A ours?")
        page.get_by_role("button", name="Send").click()
        expect(page.get_by_text("Your answer is on record")).to_be_visible()
        assert stage.server.run(ASKED) == ["Is box A ours?"]
        check_page(page)
    finally:
        guest.close()
