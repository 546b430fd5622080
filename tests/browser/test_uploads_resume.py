"""A large upload that is cut off goes on where it stopped: from a page, and from the queue.

Bytes are counted where they arrive, by a line between the browser and the server that can be cut.
Each is sent less than 1.3 times, whatever else the browser sends included. Digests are those of
Python's hashlib (FIPS 180-4).
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image
from playwright.sync_api import Page, Playwright, expect

from tests.support.line import Line
from tests.support.phones import Stage, badge, go, phone_of, wait_until_sent
from tests.support.sounds import as_file

pytestmark = pytest.mark.browser
MB = 1_000_000
MOST = 1.3
KEPT = re.compile(r"/clips/[0-9a-f-]{36}/$")
FOUND = """
from core.models import DoneRequest, Upload
from notes.models import Clip, StoredSound
from rigs.models import Photo
print(json.dumps({
    "clips": Clip.objects.count(), "photos": Photo.objects.count(),
    "sounds": list(StoredSound.objects.values_list("sha256", flat=True)),
    "done": DoneRequest.objects.count(),
    "uploads": [[row.received, row.size] for row in Upload.objects.all()],
}))
"""


@pytest.fixture
def line(stage: Stage) -> Iterator[Line]:
    """What the browser reaches the server by."""
    line = Line(stage.server.port)
    stage.server.url = line.url
    yield line
    line.close()


def sound(megabytes: float, seed: int = 1) -> bytes:
    """Noise, three bytes a sample."""
    samples = np.random.default_rng(seed).uniform(-0.5, 0.5, (round(megabytes * MB / 3), 1))
    return as_file(samples)


def choose_sound(page: Page, stage: Stage, path: Path) -> None:
    go(page, stage, f"{stage.rig}clips/new/")
    page.get_by_label("Input").select_option(index=1)
    page.set_input_files("input[type=file]", path)


def press(page: Page, name: str) -> None:
    page.get_by_role("button", name=name, exact=True).click(no_wait_after=True)


def choose_photo(page: Page, stage: Stage, path: Path) -> None:
    go(page, stage, f"{stage.rig}photos/new/")
    page.set_input_files("input[type=file]", path)
    page.get_by_label("Caption").fill("From above")


def picture(folder: Path, width: int) -> Path:
    """Noise again: three bytes a pixel that nothing packs."""
    pixels = np.random.default_rng(2).integers(0, 256, (width, width, 3), dtype=np.uint8)
    path = folder / "pedals.png"
    Image.fromarray(pixels).save(path, compress_level=1)
    return path


def test_a_page_goes_on_with_a_sound_where_the_line_was_cut(
    playwright: Playwright, tmp_path: Path, stage: Stage, line: Line
) -> None:
    data = sound(12)
    path = tmp_path / "take.wav"
    path.write_bytes(data)
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (_, page):
        choose_sound(page, stage, path)
        before = line.up
        line.cut_after(6 * MB)
        press(page, "Upload and save")
        line.wait_until_reached()
        said = page.locator("[data-said]")
        expect(said).to_have_text("The network went away. It is sent again in a moment …")
        ((there, size),) = stage.server.run(FOUND)["uploads"]
        assert 4 * MB < there < size == len(data)
        line.restore()
        page.wait_for_url(KEPT)
        assert line.up - before < MOST * len(data)
    found = stage.server.run(FOUND)
    assert (found["clips"], found["sounds"]) == (1, [hashlib.sha256(data).hexdigest()])


def test_the_queue_goes_on_with_a_photo_after_the_browser_was_closed(
    playwright: Playwright, tmp_path: Path, stage: Stage, line: Line
) -> None:
    photo = picture(tmp_path, 2000)
    size = photo.stat().st_size
    assert size > 12 * MB
    before = stage.server.run(FOUND)["photos"]
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (phone, page):
        choose_photo(page, stage, photo)
        up = line.up
        line.cut_after(6 * MB)
        press(page, "Add")
        page.wait_for_url("**/waiting/")
        expect(page.locator("[data-waiting-list]")).to_contain_text("pedals.png")
        phone.close()
        line.restore()
        page = phone.open()
        go(page, stage, "/waiting/")
        wait_until_sent(page, 1)
        expect(badge(page)).to_be_hidden()
        assert line.up - up < MOST * size
    found = stage.server.run(FOUND)
    assert (found["photos"], found["done"]) == (before + 1, 1)


def test_a_photo_outlives_the_worker_that_was_sending_it(
    playwright: Playwright, tmp_path: Path, stage: Stage, line: Line
) -> None:
    """The browser is closed in the middle, before anybody knows that anything is wrong."""
    photo = picture(tmp_path, 1000)
    size = photo.stat().st_size
    before = stage.server.run(FOUND)["photos"]
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (phone, page):
        choose_photo(page, stage, photo)
        up = line.up
        line.hold_after(2 * MB)
        press(page, "Add")
        line.wait_until_reached()
        phone.close()
        line.restore()
        page = phone.open()
        go(page, stage, "/waiting/")
        wait_until_sent(page, 1)
        # Of a short file, the piece that was on its way is a larger part.
        assert line.up - up < size + 1.5 * 1024 * 1024
    found = stage.server.run(FOUND)
    assert (found["photos"], found["done"]) == (before + 1, 1)


def test_another_file_that_begins_and_ends_alike_is_not_joined_to_the_first(
    playwright: Playwright, tmp_path: Path, stage: Stage, line: Line
) -> None:
    first, second = sound(3), sound(3, seed=2)
    ends = 100_000
    second = first[:ends] + second[ends:-ends] + first[-ends:]
    paths = [tmp_path / "one" / "take.wav", tmp_path / "two" / "take.wav"]
    for path, data in zip(paths, (first, second), strict=True):
        path.parent.mkdir()
        path.write_bytes(data)
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (_, page):
        choose_sound(page, stage, paths[0])
        line.cut_after(2 * MB)
        press(page, "Upload and save")
        line.wait_until_reached()
        press(page, "Stop the upload")
        expect(page.locator("[data-said]")).to_contain_text("Stopped.")
        line.restore()
        page.set_input_files("input[type=file]", paths[1])
        press(page, "Upload and save")
        page.wait_for_url(KEPT)
    found = stage.server.run(FOUND)
    assert found["sounds"] == [hashlib.sha256(second).hexdigest()]
    assert len(found["uploads"]) == 2


def test_without_digests_a_page_goes_on_as_long_as_it_lives(
    playwright: Playwright, tmp_path: Path, stage: Stage, line: Line
) -> None:
    """As at an address without HTTPS, where browsers offer neither a worker nor digests."""
    data = sound(3)
    path = tmp_path / "take.wav"
    path.write_bytes(data)
    without: Any = "delete Crypto.prototype.subtle; delete Navigator.prototype.serviceWorker;"
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (phone, page):
        assert phone.context is not None
        phone.context.add_init_script(without)
        choose_sound(page, stage, path)
        assert page.evaluate("!crypto.subtle && !('serviceWorker' in navigator)")
        up = line.up
        line.cut_after(2 * MB)
        press(page, "Upload and save")
        line.wait_until_reached()
        line.restore()
        page.wait_for_url(KEPT)
        assert line.up - up < len(data) + 1.5 * 1024 * 1024
    assert stage.server.run(FOUND)["sounds"] == [hashlib.sha256(data).hexdigest()]
