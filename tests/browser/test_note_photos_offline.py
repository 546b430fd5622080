"""Photos of notes on a phone: with a note that waits, once; read where there is no network."""

from __future__ import annotations

import base64
import re
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from playwright.sync_api import Locator, Page, Playwright, expect

from tests.support.line import Line
from tests.support.phones import Stage, badge, check_page, go, phone_of, wait_until_sent
from tests.support.server_process import HOLD_ANSWER

pytestmark = pytest.mark.browser
COUNT = """
from core.models import DoneRequest
from notes.models import Note, NotePhoto
print(json.dumps([Note.objects.count(), NotePhoto.objects.count(), DoneRequest.objects.count()]))
"""
UPLOADS = """
from core.models import Upload
print(json.dumps([[each.received, each.size] for each in Upload.objects.all()]))
"""
HEARD = """
from notes.journal.services import NoteContent, write_note
from rigs.models import Rig
from tests.support.everything import picture
rig = Rig.objects.get()
heard = NoteContent(verdict="adjust", words="It buzzes.", photos=[picture("teal")],
                    photo_caption="Fret 12")
note = write_note(rig=rig, heard=heard, by=rig.production.memberships.get(role="tech").user)
print(json.dumps([note.get_absolute_url(), str(note.photos.get().pk)]))
"""
PICTURES = """
import base64, io
from PIL import Image
def png(colour):
    out = io.BytesIO()
    Image.new("RGB", (320, 240), colour).save(out, "PNG")
    return base64.b64encode(out.getvalue()).decode()
print(json.dumps([png("navy"), png("olive")]))
"""


@pytest.fixture
def pictures(stage: Stage, tmp_path: Path) -> list[Path]:
    paths = []
    for n, data in enumerate(stage.server.run(PICTURES)):
        paths.append(tmp_path / f"fret-{n}.png")
        paths[-1].write_bytes(base64.b64decode(data))
    return paths


def fill(page: Page, stage: Stage, pictures: list[Path]) -> None:
    go(page, stage, stage.note_form)
    page.get_by_label("What was said").fill("It buzzes at the twelfth fret.")
    page.get_by_label("adjust").check()
    page.locator(".note-more > summary").click()
    page.locator("#id_photos").set_input_files(pictures)
    page.get_by_label("What the photos show").fill("Fret 12")


def expect_loaded(image: Locator, width: int | None = None) -> None:
    """A picture that loads only where it is looked at."""
    image.scroll_into_view_if_needed()
    expect(image).to_have_js_property("complete", True)
    found = image.evaluate("image => image.naturalWidth")
    assert found == width if width else found > 0


def test_a_note_with_photos_waits_and_arrives_once(
    playwright: Playwright, tmp_path: Path, stage: Stage, pictures: list[Path]
) -> None:
    """Offline, then online; then killed after the server has done it and before it could say so."""
    with phone_of(playwright, tmp_path / "phone", stage, "player") as (phone, page):
        fill(page, stage, pictures)
        stage.server.stop()
        page.get_by_role("button", name="Save the note").click()
        page.wait_for_url("**/waiting/")
        waits = page.locator("[data-waiting-list]")
        expect(waits).to_contain_text("It buzzes at the twelfth fret.")
        expect(waits).to_contain_text("fret-1.png")
        phone.close()  # note and photos outlive the browser
        stage.server.start()
        page = phone.open()
        stage.server.hold(HOLD_ANSWER)
        go(page, stage, "/waiting/")
        stage.server.wait_until_held()
        stage.server.stop()
        stage.server.let_go()
        assert stage.server.run(COUNT) == [1, 2, 1]
        stage.server.start()
        go(page, stage, "/waiting/")
        wait_until_sent(page, 1)
        expect(badge(page)).to_be_hidden()
    assert stage.server.run(COUNT) == [1, 2, 1]


def test_a_large_photo_goes_up_in_pieces_and_goes_on_where_it_was_cut(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    """Noise, three bytes a pixel that nothing packs: about 3 MB, more than goes within a form."""
    pixels = np.random.default_rng(3).integers(0, 256, (1000, 1000, 3), dtype=np.uint8)
    photo = tmp_path / "bridge.png"
    Image.fromarray(pixels).save(photo, compress_level=1)
    line = Line(stage.server.port)
    stage.server.url = line.url
    try:
        with phone_of(playwright, tmp_path / "phone", stage, "player") as (phone, page):
            fill(page, stage, [photo])
            line.cut_after(1_500_000)
            page.get_by_role("button", name="Save the note").click(no_wait_after=True)
            page.wait_for_url("**/waiting/")
            how_far = page.locator("[data-waiting-list] [data-went]")
            expect(how_far).to_have_text(re.compile(r"^\s*[1-9]\d? % of 3\.0 MB is sent\.\s*$"))
            phone.close()
            ((there, size),) = stage.server.run(UPLOADS)
            assert 256 * 1024 <= there < size == photo.stat().st_size
            assert stage.server.run(COUNT) == [0, 0, 0]
            line.restore()
            page = phone.open()
            go(page, stage, "/waiting/")
            wait_until_sent(page, 1)
    finally:
        line.close()
    assert stage.server.run(COUNT) == [1, 1, 1]
    assert stage.server.run(UPLOADS) == [[size, size]]


def test_kept_pages_show_the_photos_of_open_notes(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    note, photo = stage.server.run(HEARD)
    with phone_of(playwright, tmp_path / "phone", stage, "crew") as (_, page):
        stage.server.stop()
        for path in (stage.rig, note):
            go(page, stage, path)
            if path == stage.rig:  # there a note shows its words, and the rest on demand
                page.get_by_text("Where it was heard, 1 photo").click()
            expect_loaded(page.get_by_alt_text("Fret 12"))
        page.get_by_alt_text("Fret 12").click()
        page.wait_for_url(f"**/{photo}/file/")
        expect_loaded(page.locator("img"), width=320)


def test_adding_and_removing_photos_on_a_phone(
    playwright: Playwright, tmp_path: Path, stage: Stage, pictures: list[Path]
) -> None:
    note, _ = stage.server.run(HEARD)
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (_, page):
        go(page, stage, note)
        page.get_by_role("link", name="Add photos").click()
        check_page(page)
        page.locator("#id_photos").set_input_files(pictures)
        page.get_by_role("button", name="Add", exact=True).click()
        expect(page.get_by_role("status").first).to_contain_text("2 photos are added.")
        check_page(page)
        page.get_by_role("link", name="Remove Fret 12").click()
        check_page(page)
        page.get_by_role("button", name="Remove it").click()
        expect(page.locator("#photos")).to_contain_text("was removed by tech")
        expect(page.get_by_alt_text("Fret 12")).to_have_count(0)
