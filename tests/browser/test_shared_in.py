"""What a telephone shares into the installed app becomes a draft, and is saved by its person alone.

A browser posts it as the manifest says (W3C, Web Share Target); here a page of the app does. That
telephones do so is on the checklist of docs/telephone.md.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
from playwright.sync_api import FilePayload, Page, Playwright, expect

from tests.rigs.photos.pictures import encoded, two_tone
from tests.support.phones import (
    Stage,
    check_page,
    go,
    path_of,
    phone_of,
    share,
    wait_until,
    wait_until_sent,
)
from tests.support.sounds import as_file

pytestmark = pytest.mark.browser
FOUND = """
from core.models import Upload
from notes.models import Clip, Note, NoteMemo, NotePhoto
from rigs.models import Photo
print(json.dumps({
    "notes": list(Note.objects.values_list("words", flat=True)),
    "note photos": NotePhoto.objects.count(), "memos": NoteMemo.objects.count(),
    "photos": list(Photo.objects.order_by("pk").values_list("caption", flat=True)),
    "clips": Clip.objects.count(), "uploads": Upload.objects.count(),
}))
"""
NOTHING = {
    "notes": [],
    "note photos": 0,
    "memos": 0,
    "photos": ["The whole rig"],
    "clips": 0,
    "uploads": 0,
}
END_SESSIONS = """
from core.models import LogIn
LogIn.objects.all().delete()
print("null")
"""
PASSWORD = "a-long-way-to-the-weir-9"
# It ends the log-ins there were.
SET_PASSWORDS = f"""
from django.test import Client
from core.models import User
found = {{}}
for user in User.objects.all():
    user.set_password("{PASSWORD}")
    user.save()
    client = Client()
    client.force_login(user)
    found[str(user.pk)] = (user.email, client.cookies["sessionid"].value)
print(json.dumps(found))
"""
PENDING = """await (async () => {
  const opened = indexedDB.open("toneledger");
  const held = await new Promise((done) => (opened.onsuccess = () => done(opened.result)));
  const asked = held.transaction("incoming").objectStore("incoming").getAll();
  const rows = await new Promise((done) => (asked.onsuccess = () => done(asked.result)));
  held.close();
  return rows;
})()"""
ROWS_DRAFTED = PENDING.replace("incoming", "drafts")
NONE_DRAFTED = f"({ROWS_DRAFTED}).length === 0"
FILES_DRAFTED = f"""({ROWS_DRAFTED}).flatMap(({{ fields }}) =>
  fields.filter(([, value]) => value instanceof File).map(([, file]) => file.name))"""
OTHER_SITE = """<!doctype html><title>Elsewhere</title>
<form method="post" enctype="multipart/form-data" action="{url}/incoming/shared/">
<input name="text" value="You have won"></form>"""

TOLD_OF_A_CHANGE = """navigator.serviceWorker.dispatchEvent(
  new MessageEvent("message", { data: { changed: true } }))"""


def photo(name: str = "knobs.jpg") -> FilePayload:
    return {"name": name, "mimeType": "image/jpeg", "buffer": encoded(two_tone(320, 240))}


def sound(seconds: float = 2, name: str = "stage.wav") -> FilePayload:
    wave = np.sin(np.arange(round(44100 * seconds)) / 30)[:, None] * 0.3
    return {"name": name, "mimeType": "audio/wav", "buffer": as_file(wave)}


def rows(page: Page) -> Any:
    return page.locator("[data-incoming-list] > .incoming-row")


def drafted(words: str) -> str:
    return (
        f"({ROWS_DRAFTED}).some(({{ fields }}) => fields.some(([, value]) => value === '{words}'))"
    )


def put_into(page: Page, label: str) -> None:
    with page.expect_navigation():
        page.locator("[data-taker]", has_text=label).first.click()
    expect(page.locator("form[data-draft=ready]").first).to_be_visible()


def chosen(page: Page, field: str) -> list[str]:
    names: list[str] = page.evaluate(
        "(name) => [...document.getElementsByName(name)[0].files].map((file) => file.name)", field
    )
    return names


def save_note(page: Page) -> None:
    page.get_by_label("adjust").check()
    with page.expect_navigation():
        page.get_by_role("button", name="Save the note").click()


def test_a_photo_a_sound_and_words_become_a_note_when_it_is_saved(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (phone, page):
        share(page, photo(), photo("pedals.jpg"), sound(), text="After the first song")
        assert path_of(page) == "/incoming/"
        expect(rows(page)).to_have_count(4)
        check_page(page)
        assert stage.server.run(FOUND) == NOTHING
        phone.close()  # it outlives the browser
        page = phone.open()
        go(page, stage, "/")
        expect(page.locator("[data-incoming]")).to_contain_text("4")
        page.locator("[data-incoming]").click()
        page.get_by_label("pedals.jpg").uncheck()
        put_into(page, "Note")
        expect(page.locator("[data-draft-said]")).to_contain_text("What you shared is in this form")
        assert (chosen(page, "photos"), chosen(page, "memo")) == (["knobs.jpg"], ["stage.wav"])
        assert page.get_by_label("What was said").input_value() == "After the first song"
        assert stage.server.run(FOUND) == NOTHING
        # Also as a draft it outlives the page, and what is typed beside it goes with it.
        page.get_by_label("What was said").fill("After the second song")
        wait_until(page, DRAFTED)
        page.reload()
        expect(page.locator("form[data-draft=ready]").first).to_be_visible()
        assert (chosen(page, "photos"), chosen(page, "memo")) == (["knobs.jpg"], ["stage.wav"])
        save_note(page)
        found = stage.server.run(FOUND)
        assert found["notes"] == ["After the second song"]
        assert (found["note photos"], found["memos"]) == (1, 1)
        go(page, stage, "/incoming/")
        expect(rows(page)).to_have_count(1)
        expect(rows(page)).to_contain_text("pedals.jpg")


DRAFTED = """(await (async () => {
  const opened = indexedDB.open("toneledger");
  const held = await new Promise((done) => (opened.onsuccess = () => done(opened.result)));
  const asked = held.transaction("drafts").objectStore("drafts").getAll();
  const rows = await new Promise((done) => (asked.onsuccess = () => done(asked.result)));
  held.close();
  return rows;
})()).some((each) => each.fields.some(([, value]) => value === "After the second song"))"""


def test_photos_of_a_rig_and_a_clip_take_theirs(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (_, page):
        share(page, photo(), sound(), title="Left head")
        put_into(page, "Photos")
        assert chosen(page, "photos") == ["knobs.jpg"]
        assert page.get_by_label("Caption").input_value() == "Left head"
        page.get_by_label("What they show").select_option(label="the rig as a whole")
        with page.expect_navigation():
            page.get_by_role("button", name="Add", exact=True).click()
        assert sorted(stage.server.run(FOUND)["photos"]) == ["Left head", "The whole rig"]
        go(page, stage, "/incoming/")
        # Photos are not offered for a sound alone.
        expect(page.locator("[data-taker]", has_text="Photos")).to_be_hidden()
        put_into(page, "Clip")
        assert chosen(page, "file") == ["stage.wav"]
        page.get_by_label("Input").select_option(index=1)
        page.get_by_role("button", name="Upload and save").click()
        page.wait_for_url("**/clips/*-*-*-*-*/")
        assert stage.server.run(FOUND)["clips"] == 1


def test_without_a_network_it_is_put_in_its_place_and_goes_up_later(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (_, page):
        stage.server.stop()
        for label in ("Note", "Photos"):
            share(page, photo(f"{label}.jpg"))
            expect(rows(page)).to_have_count(1)
            put_into(page, label)
            if label == "Note":
                page.get_by_label("What was said").fill("Less wire")
                save_note(page)
                continue
            page.get_by_label("Caption").fill("From the dark")
            with page.expect_navigation():
                page.get_by_role("button", name="Add", exact=True).click()
        assert path_of(page) == "/waiting/"
        stage.server.start()
        go(page, stage, "/waiting/")
        wait_until_sent(page, 2)
        found = stage.server.run(FOUND)
        assert found["note photos"] == 1
        assert sorted(found["photos"]) == ["From the dark", "The whole rig"]


def mails_of(stage: Stage) -> dict[str, str]:
    """By role, of those who can log in by a password."""
    found = stage.server.run(SET_PASSWORDS)
    users = stage.world["users"]
    stage.world["sessions"] |= {role: found[pk][1] for role, pk in users.items()}
    return {role: found[pk][0] for role, pk in users.items()}


def log_in(page: Page, mail: str) -> None:
    page.fill("[name=username]", mail)
    page.fill("[name=password]", PASSWORD)
    with page.expect_navigation():
        page.get_by_role("button", name="Log in", exact=True).click()


def log_out(page: Page) -> None:
    page.locator("summary", has_text="Account and colours").click()
    with page.expect_navigation():
        page.get_by_role("button", name="Log out").click()


def test_shared_while_nobody_is_signed_in_it_is_there_after_the_log_in(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    mails = mails_of(stage)
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (_, page):
        log_out(page)
        assert path_of(page) == "/login/"
        page.evaluate("navigator.serviceWorker.ready.then(() => null)")
        share(page, photo())
        assert path_of(page) == "/login/"
        log_in(page, mails["tech"])
        assert path_of(page) == "/incoming/"
        expect(rows(page)).to_have_count(1)
        expect(rows(page)).to_contain_text("knobs.jpg")


def test_after_an_ended_session_it_waits_for_its_person_and_nobody_else(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    mails = mails_of(stage)
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (_, page):
        stage.server.run(END_SESSIONS)
        share(page, photo())
        assert path_of(page) == "/login/"
        log_in(page, mails["tech"])
        expect(rows(page)).to_have_count(1)
        stage.server.run(END_SESSIONS)
        go(page, stage, "/incoming/")
        log_in(page, mails["engineer"])
        expect(page.locator("[data-incoming-none]")).to_be_visible()
        assert page.evaluate(f"async () => ({PENDING}).length") == 0


def test_what_is_not_taken_is_named_with_the_reason(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    large = tmp_path / "large.jpg"
    large.write_bytes(b"\xff\xd8" + bytes(21 * 1024 * 1024))
    files: list[FilePayload] = [
        {"name": "list.pdf", "mimeType": "application/pdf", "buffer": b"%PDF-1.4"},
        {"name": "clip.mp4", "mimeType": "video/mp4", "buffer": b"0000ftyp"},
        {"name": "drawing.svg", "mimeType": "image/svg+xml", "buffer": b"<svg/>"},
        {"name": "nothing.wav", "mimeType": "audio/wav", "buffer": b""},
        photo(),
    ]
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (_, page):
        share(page, *files)
        refused = page.locator(".incoming-refused")
        expect(refused).to_have_count(4)
        for name in ("list.pdf", "clip.mp4", "drawing.svg"):
            expect(refused.filter(has_text=name)).to_contain_text("neither a picture nor a sound")
        expect(refused.filter(has_text="nothing.wav")).to_contain_text("is empty")
        expect(rows(page)).to_have_count(1)
        check_page(page)
        share(page, large)
        expect(refused.filter(has_text="large.jpg")).to_contain_text("21.0 MB; 20.0 MB is the most")
        held = page.evaluate(f"async () => ({PENDING}).filter(({{ file }}) => file).length")
        assert held == 1
        for left in (4, 3, 2, 1, 0):
            refused.first.get_by_role("button").click()
            expect(refused).to_have_count(left)


def test_no_more_is_held_than_has_a_limit(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    """Forty things; another site could post any number."""
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (_, page):
        share(page, *(photo(f"{number}.jpg") for number in range(42)))
        expect(rows(page)).to_have_count(40)
        expect(page.locator(".incoming-refused")).to_have_count(2)
        page.locator("[data-taker]", has_text="Photos").first.click()
        said = page.locator("[data-incoming-said]")
        expect(said).to_contain_text("12 photos at a time")
        # The list is shown anew whenever the worker says so; what was said about it stays.
        rows(page).first.evaluate("row => row.classList.add('before')")
        page.evaluate(TOLD_OF_A_CHANGE)
        expect(page.locator(".before")).to_have_count(0)
        expect(said).to_contain_text("12 photos at a time")
        page.get_by_role("button", name="Remove what is ticked").click()
        expect(rows(page)).to_have_count(0)
        expect(said).to_be_hidden()


def test_what_was_typed_before_stays_beside_it_and_no_second_sound_takes_the_first_ones_place(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (_, page):
        share(page, sound())
        put_into(page, "Note")
        page.get_by_label("What was said").fill("After the second song")
        wait_until(page, DRAFTED)
        share(page, sound(name="later.wav"), photo(), text="Shared words")
        page.locator("[data-taker]", has_text="Note").first.click()
        expect(page.locator("[data-incoming-said]")).to_contain_text("already has a sound")
        page.get_by_role("checkbox", name="later.wav").uncheck()
        put_into(page, "Note")
        expect(page.locator("[data-draft-said]")).to_contain_text("What you shared is beside it")
        words = page.get_by_label("What was said").input_value()
        assert words == "After the second song\nShared words"
        assert (chosen(page, "memo"), chosen(page, "photos")) == (["stage.wav"], ["knobs.jpg"])


def test_another_window_of_the_form_leaves_what_was_shared_into_it(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    """It was open before, types on, and is saved: without the photo, which waits for its note."""
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (phone, page):
        assert phone.context is not None
        share(page, photo())
        put_into(page, "Note")
        form = page.url
        page.get_by_role("button", name="Throw it away").click()
        wait_until(page, NONE_DRAFTED)  # this page has shown it
        page.get_by_label("What was said").fill("Typed first")
        wait_until(page, drafted("Typed first"))
        other = phone.context.new_page()
        go(other, stage, "/")
        share(other, photo("pedals.jpg"))
        put_into(other, "Note")
        assert chosen(other, "photos") == ["pedals.jpg"]
        page.get_by_label("What was said").fill("Typed last")
        wait_until(page, drafted("Typed last"))
        assert page.evaluate(f"async () => {FILES_DRAFTED}") == ["pedals.jpg"]
        page.get_by_label("What was said").fill("Typed in the end")
        wait_until(page, drafted("Typed in the end"))
        assert page.evaluate(f"async () => {FILES_DRAFTED}") == ["pedals.jpg"]
        save_note(page)
        found = stage.server.run(FOUND)
        assert found["note photos"] == 0
        other.close()
        page.goto(form)
        expect(page.locator("[data-draft-said]")).to_contain_text("What you shared is in this form")
        assert chosen(page, "photos") == ["pedals.jpg"]
        assert page.get_by_label("What was said").input_value() == ""
        page.get_by_label("What was said").fill("With the photo")
        save_note(page)
        wait_until(page, NONE_DRAFTED)
        assert stage.server.run(FOUND)["note photos"] == 1


def test_a_form_that_comes_back_still_has_the_files(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (_, page):
        share(page, photo(), sound())
        put_into(page, "Note")
        with page.expect_navigation():
            page.get_by_role("button", name="Save the note").click()  # without a verdict
        expect(page.locator("[data-summary]")).to_contain_text("This field is required")
        expect(page.get_by_text("are in the form again")).to_be_visible()
        expect(page.get_by_text("Pick the photos again")).to_have_count(0)
        assert (chosen(page, "memo"), chosen(page, "photos")) == (["stage.wav"], ["knobs.jpg"])
        save_note(page)
        found = stage.server.run(FOUND)
        assert (found["note photos"], found["memos"]) == (1, 1)


@pytest.mark.parametrize("policy", ["strict-origin-when-cross-origin", "no-referrer"])
def test_another_sites_form_is_never_more_than_something_to_throw_away(
    playwright: Playwright, tmp_path: Path, stage: Stage, policy: str
) -> None:
    """A site that names itself is refused. One that does not looks like a telephone that shares:
    what it posts is shown as not saved, and goes nowhere by itself."""
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (_, page):
        form = OTHER_SITE.format(url=stage.server.url)
        headers = {"content-type": "text/html", "referrer-policy": policy}
        page.route(
            "http://elsewhere.example/**", lambda route: route.fulfill(body=form, headers=headers)
        )
        page.goto("http://elsewhere.example/")
        with page.expect_navigation():
            page.evaluate("document.forms[0].submit()")
        if policy == "no-referrer":
            expect(rows(page)).to_have_count(1)
            expect(page.locator("main")).to_contain_text("Nothing of it is saved yet")
            page.get_by_role("button", name="Remove what is ticked").click()
        else:
            assert path_of(page) == "/incoming/shared/"
            expect(page.locator("main")).to_contain_text("was not taken")
            expect(page.locator("[data-ready]")).to_be_visible()
            go(page, stage, "/incoming/")
        expect(page.locator("[data-incoming-none]")).to_be_visible()
        assert page.evaluate(f"async () => ({PENDING}).length") == 0
        assert stage.server.run(FOUND) == NOTHING


def test_a_shortcut_without_a_network_leads_to_what_is_stored(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (_, page):
        go(page, stage, "/go/note/")
        assert path_of(page).endswith("/notes/new/")
        stage.server.stop()
        go(page, stage, "/go/note/")
        assert path_of(page) == "/"
        expect(page.locator("main")).to_contain_text("What is on this device")


def test_chromium_reads_the_manifest_as_it_is_meant(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (_, page):
        cdp = page.context.new_cdp_session(page)
        found = cdp.send("Page.getAppManifest")
        assert found["errors"] == []
        target = found["manifest"]["shareTarget"]
        assert target["action"] == f"{stage.server.url}/incoming/shared/"
        assert target["method"] == "kPost"
        assert len(found["manifest"]["shortcuts"]) == 4
