"""Whoever logs out, is no longer a member, or is somebody else finds nothing of what was kept."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Page, Playwright, expect

from tests.support.phones import (
    CACHES,
    NO_PAGES,
    Stage,
    go,
    path_of,
    phone_of,
    wait_until,
    wait_until_sent,
    write_note,
)

pytestmark = pytest.mark.browser
LEAVE = """
from core.models import Membership
Membership.objects.filter(user="{user}").delete()
print("null")
"""
END_SESSIONS = """
from core.models import LogIn
LogIn.objects.all().delete()
print("null")
"""
LOG_IN = """
from django.test import Client
from core.models import User
client = Client()
client.force_login(User.objects.get(pk="{user}"))
print(json.dumps(client.cookies["sessionid"].value))
"""
REMOVE_PICTURE = """
from core.models import User
from notes.forgetting.files import of_picture, remove_files
from rigs.models import StoredPhoto
image = StoredPhoto.objects.get()
by = User.objects.get(pk="{user}")
remove_files(image.production, of_picture(image), by=by, asked_by="person", reason="A letter.")
print(json.dumps(str(image.pk)))
"""
# As if what is kept had been fetched long ago: it is fetched anew when its page is opened.
KEPT_LONG_AGO = """() => new Promise((done) => {
  const opened = indexedDB.open("toneledger");
  opened.onsuccess = () => {
    const held = opened.result;
    const asked = held.transaction("kept", "readwrite").objectStore("kept").openCursor();
    asked.onsuccess = () => {
      const row = asked.result;
      if (!row) { held.close(); return done(); }
      row.update({ ...row.value, kept_at: 0 });
      row.continue();
    };
  };
})"""
PICTURES_KEPT = """(await Promise.all((await caches.keys()).map(async (name) =>
  (await (await caches.open(name)).keys()).map((each) => each.url)))).flat()
  .filter((url) => /\\/photos\\/.*v=/.test(url)).length"""


def test_a_picture_that_was_removed_is_dropped(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    with phone_of(playwright, tmp_path / "phone", stage, "crew") as (_, page):
        wait_until(page, f"{PICTURES_KEPT} > 0")
        stage.server.run(REMOVE_PICTURE.format(user=stage.world["users"]["engineer"]))
        page.evaluate(KEPT_LONG_AGO)
        go(page, stage, stage.handover)
        wait_until(page, f"{PICTURES_KEPT} === 0")


def test_logging_out_leaves_nothing(playwright: Playwright, tmp_path: Path, stage: Stage) -> None:
    with phone_of(playwright, tmp_path / "phone", stage, "crew") as (_, page):
        assert len(page.evaluate(CACHES)) == 2  # of the production, and one's own pages
        page.locator("summary", has_text="Account and colours").click()
        with page.expect_navigation():
            page.get_by_role("button", name="Log out").click()
        assert path_of(page) == "/login/"
        assert page.evaluate(CACHES) == []
        assert page.evaluate("async () => (await indexedDB.databases()).length") == 0
        stage.server.stop()
        with pytest.raises(Exception, match="ERR_CONNECTION_REFUSED"):
            go(page, stage, stage.handover)


def test_logging_out_asks_before_it_throws_words_away(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (_, page):
        stage.server.stop()
        write_note(page, stage, "Not sent yet.")
        asked: list[str] = []
        page.on("dialog", lambda dialog: (asked.append(dialog.message), dialog.dismiss()))
        page.locator("summary", has_text="Account and colours").click()
        page.get_by_role("button", name="Log out").click()
        expect(page.locator("[data-waiting-list]")).to_contain_text("Not sent yet.")
        assert len(asked) == 1
        assert "has not been sent" in asked[0]


def test_lost_membership_clears_what_was_kept(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    with phone_of(playwright, tmp_path / "phone", stage, "crew") as (_, page):
        stage.server.run(LEAVE.format(user=stage.world["users"]["crew"]))
        go(page, stage, stage.rig)
        expect(page.locator("main")).to_contain_text("There is no such page")
        wait_until(page, NO_PAGES)
        stage.server.stop()
        go(page, stage, stage.handover)
        expect(page.locator("main")).to_contain_text("Not on this device")
        expect(page.locator("main")).not_to_contain_text("Winter halls")


def test_an_ended_session_clears_pages_but_not_words(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    """A lost phone is logged out from elsewhere. What its owner wrote goes up once they are back;
    somebody else at the same phone sees nothing of it."""
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (phone, page):
        stage.server.run(END_SESSIONS)
        write_words_on_the_open_form(page, stage, "Before the session ended.")
        assert path_of(page) == "/login/"
        assert [name for name in page.evaluate(CACHES) if name.startswith("kept ")] == []

        for role, items in (("engineer", 0), ("tech", 1)):
            user = stage.world["users"][role]
            stage.world["sessions"][role] = stage.server.run(LOG_IN.format(user=user))
            phone.sign_in(role)
            go(page, stage, "/waiting/")
            expect(page.locator("[data-waiting-list] > li")).to_have_count(items)
            assert len(stage.found()["notes"]) == items or role == "tech"
        wait_until_sent(page, 1)
        assert stage.found()["notes"] == ["Before the session ended."]


def write_words_on_the_open_form(page: Page, stage: Stage, words: str) -> None:
    """On the kept form, as it is where the server answers too slowly to notice its new state."""
    page.context.set_offline(True)
    go(page, stage, stage.note_form)
    page.context.set_offline(False)
    page.get_by_label("What was said").fill(words)
    page.get_by_label("adjust").check()
    with page.expect_navigation():
        page.get_by_role("button", name="Save the note").click()


def test_another_person_on_the_same_phone_sees_nothing(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (phone, page):
        phone.sign_in("manager")
        go(page, stage, "/")
        own = stage.world["users"]["manager"]
        wait_until(page, NO_PAGES)
        wait_until(page, f"!!await caches.match('/not-kept/', {{cacheName: 'own {own}'}})")
        stage.server.stop()
        go(page, stage, stage.handover)
        expect(page.locator("main")).to_contain_text("Not on this device")
