"""A note in a few taps: from the button, with a voice memo, drafts kept, photos in pieces.

Chromium plays its own test tone into the microphone (--use-fake-device-for-media-stream).
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image
from playwright.sync_api import Page, Playwright, expect

from tests.support.phones import Stage, badge, check_page, go, phone_of, wait_until, wait_until_sent

pytestmark = pytest.mark.browser
FOUND = """
from core.models import DoneRequest, Upload
from notes.models import Note, NoteMemo, NotePhoto
print(json.dumps({
    "notes": [str(note) for note in Note.objects.order_by("written_at")],
    "inputs": [note.inputs.count() for note in Note.objects.order_by("written_at")],
    "memos": [[memo.sound.kind, float(memo.sound.seconds)] for memo in NoteMemo.objects.all()],
    "photos": NotePhoto.objects.count(), "done": DoneRequest.objects.count(),
    "uploads": [[row.received, row.size] for row in Upload.objects.all()],
}))
"""
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
KEPT = f"({DRAFTS}).some(({{ fields }}) => fields.some(([, value]) => value === 'Too much wool.'))"
KEPT_MEMO = f"({DRAFTS}).some(({{ fields }}) => fields.some(([name]) => name === 'memo'))"
NONE_KEPT = f"({DRAFTS}).length === 0"


def record(page: Page) -> None:
    page.get_by_role("button", name="Record a voice memo").click()
    expect(page.locator("[data-recorded]")).to_have_text("0:02")
    page.get_by_role("button", name="Stop recording").click()
    expect(page.locator("[data-play]")).to_be_visible()


def save(page: Page) -> None:
    page.get_by_role("button", name="Save the note").click(no_wait_after=True)


def test_from_the_page_of_an_input_in_three_taps(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    with phone_of(playwright, tmp_path / "phone", stage, "engineer") as (_, page):
        go(page, stage, stage.rig)
        page.locator("main a[href*='/inputs/']").first.click()
        page.wait_for_url("**/inputs/**")
        page.locator(".thumb-button").click()
        page.wait_for_url("**/notes/new/**")
        for each in (page.get_by_label("keep"), page.get_by_label("What was said")):
            expect(each).to_be_in_viewport()
        expect(page.get_by_role("button", name="Save the note")).to_be_in_viewport(ratio=1)
        check_page(page)
        page.get_by_label("keep").check()
        save(page)
        page.wait_for_url("**/notes/*-*/")
        check_page(page)
    found = stage.server.run(FOUND)
    assert (found["notes"], found["inputs"]) == (["keep, without words"], [1])


TO_THE_END = "window.scrollTo(0, document.documentElement.scrollHeight)"


def test_the_button_covers_nothing_and_is_reached_by_keyboard(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    with phone_of(playwright, tmp_path / "phone", stage, "engineer") as (_, page):
        go(page, stage, stage.rig)
        button = page.locator(".thumb-button")
        box: Any = button.bounding_box()
        assert box["y"] > 844 * 2 / 3
        assert box["height"] >= 44
        page.evaluate(TO_THE_END)
        # Its last parts come as they are reached, and make it longer.
        expect(page.locator("section[data-part]")).to_have_count(0)
        page.evaluate(TO_THE_END)
        foot: Any = page.locator(".foot").bounding_box()
        bar: Any = page.locator(".thumb-nav").bounding_box()
        assert foot["y"] + foot["height"] <= bar["y"] + 1
        button.focus()
        page.keyboard.press("Enter")
        page.wait_for_url("**/notes/new/**")
        page.emulate_media(media="print")
        expect(page.locator(".thumb-nav")).to_be_hidden()


def test_a_memo_recorded_without_a_network_arrives_once(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    with phone_of(playwright, tmp_path / "phone", stage, "engineer") as (phone, page):
        assert phone.context is not None
        stage.server.stop()
        go(page, stage, stage.note_form)
        record(page)
        check_page(page)
        page.get_by_label("adjust").check()
        save(page)
        page.wait_for_url("**/waiting/")
        expect(page.locator("[data-waiting-list]")).to_contain_text("Voice memo")
        stage.server.start()
        page.get_by_role("button", name="Send now").click()
        wait_until_sent(page, 1)
        page.evaluate("document.querySelector('[data-waiting-send]')?.click()")
        expect(badge(page)).to_be_hidden()
        found = stage.server.run(FOUND)
        assert (found["notes"], found["done"]) == (["adjust, without words"], 1)
        ((kind, seconds),) = found["memos"]
        assert kind == "webm"
        assert 1.5 < seconds < 6
        go(page, stage, f"{stage.world['place']}/notes/")
        play = "document.querySelector('.memo-player')"
        page.evaluate(f"{play}.play()")
        wait_until(page, f"{play}.currentTime > 0.2")
        check_page(page)


def test_what_is_saved_while_it_records_has_the_memo(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    with phone_of(playwright, tmp_path / "phone", stage, "engineer") as (_, page):
        go(page, stage, stage.note_form)
        page.get_by_label("adjust").check()
        page.get_by_role("button", name="Record a voice memo").click()
        expect(page.locator("[data-recorded]")).to_have_text("0:01")
        save(page)
        page.wait_for_url("**/notes/*-*/")
    assert len(stage.server.run(FOUND)["memos"]) == 1


def test_a_draft_outlives_the_browser_and_goes_once_it_is_sent(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    with phone_of(playwright, tmp_path / "phone", stage, "engineer") as (phone, page):
        go(page, stage, stage.note_form)
        expect(page.locator("form[data-draft=ready]")).to_be_visible()
        page.get_by_label("What was said").fill("Too much wool.")
        page.get_by_label("adjust").check()
        record(page)
        wait_until(page, KEPT)
        wait_until(page, KEPT_MEMO)
        phone.close()
        page = phone.open()
        go(page, stage, stage.note_form)
        expect(page.locator("[data-draft-said]")).to_contain_text("It is put back.")
        expect(page.get_by_label("What was said")).to_have_value("Too much wool.")
        expect(page.get_by_label("adjust")).to_be_checked()
        expect(page.locator("[data-play]")).to_be_visible()
        check_page(page)
        save(page)
        page.wait_for_url("**/notes/*-*/")
        wait_until(page, NONE_KEPT)
        go(page, stage, stage.note_form)
        expect(page.locator("form[data-draft=ready]")).to_be_visible()
        expect(page.get_by_label("What was said")).to_have_value("")
    found = stage.server.run(FOUND)
    assert (found["notes"], len(found["memos"])) == (["Too much wool."], 1)


def test_a_draft_is_let_go_by_hand_and_by_logging_out(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    with phone_of(playwright, tmp_path / "phone", stage, "engineer") as (_, page):
        page.on("dialog", lambda dialog: dialog.accept())
        for way in ("hand", "log out"):
            go(page, stage, stage.note_form)
            expect(page.locator("form[data-draft=ready]")).to_be_visible()
            page.get_by_label("What was said").fill("Too much wool.")
            wait_until(page, KEPT)
            if way == "hand":
                page.reload()
                page.get_by_role("button", name="Throw it away").click()
                expect(page.get_by_label("What was said")).to_have_value("")
                wait_until(page, NONE_KEPT)
            else:
                page.evaluate("document.querySelector('form[action=\"/logout/\"]').requestSubmit()")
                page.wait_for_url("**/login/**")
                wait_until(page, "(await indexedDB.databases()).length === 0")


def test_a_note_with_a_large_photo_goes_up_in_pieces(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    pixels = np.random.default_rng(2).integers(0, 256, (1000, 1000, 3), dtype=np.uint8)
    photo = tmp_path / "pedals.png"
    Image.fromarray(pixels).save(photo, compress_level=1)
    with phone_of(playwright, tmp_path / "phone", stage, "engineer") as (_, page):
        go(page, stage, stage.note_form)
        page.get_by_text("More: gear, song").click()
        page.locator("[name=photos]").set_input_files(photo)
        page.get_by_label("What was said").fill("It buzzes.")
        page.get_by_label("adjust").check()
        save(page)
        page.wait_for_url("**/notes/*-*/")
    found = stage.server.run(FOUND)
    size = photo.stat().st_size
    assert size > 2_000_000
    assert (found["photos"], found["uploads"]) == (1, [[size, size]])
