"""What is typed into any form is kept on the device until the server has it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, Playwright, expect

from tests.support.phones import Stage, check_page, go, phone_of, wait_until

pytestmark = pytest.mark.browser
DRAFTS = """await (async () => {
  const held = await new Promise((resolve, reject) => {
    const opened = indexedDB.open("toneledger");
    opened.onsuccess = () => resolve(opened.result);
    opened.onerror = () => reject(opened.error);
  });
  const asked = held.transaction("drafts").objectStore("drafts").getAll();
  const rows = await new Promise((resolve) => (asked.onsuccess = () => resolve(asked.result)));
  held.close();
  return rows;
})()"""
NONE_KEPT = f"({DRAFTS}).length === 0"
OTHERS_CHANGE = """
from core.models import User
from rigs.changes.edits import Set
from rigs.models import Input, Rig
from rigs.revisions.record import record
rig, entry = Rig.objects.get(), Input.objects.get()
edit = Set(str(entry.pk), "input", {"notes": "Theirs."})
record(rig, [edit], author=User.objects.first(), base=rig.head_number)
print(json.dumps(str(entry.pk)))
"""


def ready(page: Page) -> None:
    expect(page.locator("form[data-draft=ready]").first).to_be_visible()


def kept(words: str) -> str:
    return f"({DRAFTS}).some((each) => each.fields.some(([, value]) => value === '{words}'))"


def new_input(stage: Stage) -> str:
    return f"{stage.rig}inputs/new/"


def test_a_form_that_was_left_is_put_back_and_nobody_is_asked(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    asked: list[Any] = []
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (phone, page):
        page.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.accept()))
        go(page, stage, new_input(stage))
        ready(page)
        page.get_by_label("Name").fill("Snare")
        page.get_by_label("Phantom power on").check()
        wait_until(page, kept("Snare"))
        rows = page.evaluate(f"async () => {DRAFTS}")
        (row,) = rows
        assert sorted(name for name, _ in row["fields"]) == ["name", "phantom"]
        go(page, stage, stage.rig)
        assert asked == []
        phone.close()  # the phone dies
        page = phone.open()
        go(page, stage, new_input(stage))
        expect(page.locator("[data-draft-said]")).to_contain_text("It is put back.")
        expect(page.get_by_label("Name")).to_have_value("Snare")
        expect(page.get_by_label("Phantom power on")).to_be_checked()
        check_page(page)
        page.get_by_role("button", name="Save", exact=True).click()
        page.wait_for_url("**/inputs/*-*/")
        wait_until(page, NONE_KEPT)
        go(page, stage, new_input(stage))
        ready(page)
        expect(page.get_by_label("Name")).to_have_value("")
        expect(page.locator("[data-draft-said]")).to_have_count(0)


def test_it_is_thrown_away_by_hand(playwright: Playwright, tmp_path: Path, stage: Stage) -> None:
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (_, page):
        go(page, stage, new_input(stage))
        ready(page)
        page.get_by_label("Name").fill("Snare")
        wait_until(page, kept("Snare"))
        page.reload()
        page.get_by_role("button", name="Throw it away").click()
        expect(page.get_by_label("Name")).to_have_value("")
        wait_until(page, NONE_KEPT)


def test_a_refused_form_that_is_left_keeps_what_was_sent(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (_, page):
        go(page, stage, new_input(stage))
        ready(page)
        page.get_by_label("Name").fill("Snare")
        page.get_by_label("Distance").fill("near")
        page.get_by_role("button", name="Save", exact=True).click()
        expect(page.get_by_role("alert")).to_contain_text("is not a length")
        ready(page)
        go(page, stage, stage.rig)
        go(page, stage, new_input(stage))
        expect(page.locator("[data-draft-said]")).to_contain_text("was not saved")
        expect(page.get_by_label("Name")).to_have_value("Snare")
        expect(page.get_by_label("Distance")).to_have_value("near")


def test_a_session_that_ended_loses_nothing_and_nobody_else_sees_it(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    edit = f"{stage.rig}edit/"
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (phone, page):
        go(page, stage, edit)
        ready(page)
        page.get_by_label("Notes").fill("Mine alone.")
        wait_until(page, kept("Mine alone."))
        phone.sign_in("engineer")  # somebody else takes the phone, without a log-out
        go(page, stage, edit)
        ready(page)
        expect(page.get_by_label("Notes")).not_to_have_value("Mine alone.")
        expect(page.locator("[data-draft-said]")).to_have_count(0)
        wait_until(page, NONE_KEPT)
        page.get_by_label("Notes").fill("Theirs alone.")
        wait_until(page, kept("Theirs alone."))
        sessions = page.context.cookies()
        page.context.clear_cookies(name="sessionid")  # as when the session ends
        # The page to log in asks for a passkey at once; the answer brings a session of its own, in
        # place of any that is there by then.
        with page.expect_response("**/passkey/ask/") as asked:
            go(page, stage, edit)
            page.wait_for_url("**/login/**")
        asked.value.finished()
        page.context.add_cookies(sessions)
        go(page, stage, edit)
        expect(page.get_by_label("Notes")).to_have_value("Theirs alone.")


def test_logging_out_leaves_nothing(playwright: Playwright, tmp_path: Path, stage: Stage) -> None:
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (_, page):
        page.on("dialog", lambda dialog: dialog.accept())
        go(page, stage, new_input(stage))
        ready(page)
        page.get_by_label("Name").fill("Snare")
        wait_until(page, kept("Snare"))
        page.evaluate("document.querySelector('form[action=\"/logout/\"]').requestSubmit()")
        page.wait_for_url("**/login/**")
        wait_until(page, "(await indexedDB.databases()).length === 0")


def test_what_others_changed_meanwhile_is_said_and_asked(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (_, page):
        entry = stage.server.run(OTHERS_CHANGE)
        edit = f"{stage.rig}inputs/{entry}/edit/"
        go(page, stage, edit)
        ready(page)
        page.get_by_label("Notes").fill("Mine.")
        wait_until(page, kept("Mine."))
        go(page, stage, stage.rig)
        stage.server.run(OTHERS_CHANGE.replace("Theirs.", "Newer."))
        go(page, stage, edit)
        expect(page.locator("[data-draft-said]")).to_contain_text("was changed since")
        expect(page.get_by_label("Notes")).to_have_value("Mine.")
        page.get_by_role("button", name="Save", exact=True).click()
        expect(page.get_by_text("Newer.").first).to_be_visible()
        expect(page.get_by_text("Mine.").first).to_be_visible()


def test_a_form_with_a_password_is_never_kept(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (_, page):
        go(page, stage, "/account/password/")
        page.locator("[type=password]").first.fill("a secret of mine")
        page.wait_for_timeout(1000)  # nothing is to be seen where nothing happens
        assert page.locator("form[data-draft]").count() == 0
        assert page.evaluate(f"async () => {NONE_KEPT}")
