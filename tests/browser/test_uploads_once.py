"""Photos over a line that breaks: they wait, arrive once, and no form is lost."""

from __future__ import annotations

import base64
from pathlib import Path

import pytest
from playwright.sync_api import Playwright, expect

from tests.support.phones import Stage, badge, go, phone_of, wait_until_sent
from tests.support.server_process import HOLD_ANSWER

pytestmark = pytest.mark.browser
COUNT = """
from core.models import DoneRequest
from notes.models import Clip
from rigs.models import Photo
print(json.dumps([Photo.objects.count(), Clip.objects.count(), DoneRequest.objects.count()]))
"""
PICTURE = """
import base64, io
from PIL import Image
out = io.BytesIO()
Image.effect_noise((320, 240), 60).save(out, "PNG")
print(json.dumps(base64.b64encode(out.getvalue()).decode()))
"""


@pytest.fixture
def picture(stage: Stage, tmp_path: Path) -> Path:
    path = tmp_path / "pedals.png"
    path.write_bytes(base64.b64decode(stage.server.run(PICTURE)))
    return path


def test_photos_wait_and_arrive_once(
    playwright: Playwright, tmp_path: Path, stage: Stage, picture: Path
) -> None:
    """Offline, then online; then killed after the server has done it and before it could say so."""
    photos = stage.server.run(COUNT)[0]
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (phone, page):
        go(page, stage, f"{stage.rig}photos/new/")
        page.set_input_files("input[type=file]", picture)
        page.get_by_label("Caption").fill("From above")
        stage.server.stop()
        page.get_by_role("button", name="Add").click()
        page.wait_for_url("**/waiting/")
        expect(page.locator("[data-waiting-list]")).to_contain_text("pedals.png")
        phone.close()  # the photo outlives the browser
        stage.server.start()
        page = phone.open()
        stage.server.hold(HOLD_ANSWER)
        go(page, stage, "/waiting/")
        stage.server.wait_until_held()
        stage.server.stop()
        stage.server.let_go()
        assert stage.server.run(COUNT)[0] == photos + 1
        stage.server.start()
        go(page, stage, "/waiting/")
        wait_until_sent(page, 1)
        expect(badge(page)).to_be_hidden()
    found = stage.server.run(COUNT)
    assert (found[0], found[2]) == (photos + 1, 1)


def test_a_form_that_cannot_wait_is_not_lost_to_an_error_page(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    with phone_of(playwright, tmp_path / "phone", stage, "engineer") as (_, page):
        go(page, stage, f"{stage.world['place']}/songs/new/")
        page.get_by_label("Title").fill("Sedge Hour in the rain")
        stage.server.stop()
        page.locator("main form button.button-primary").click()
        expect(page.get_by_role("alert")).to_contain_text("this form cannot wait")
        expect(page.locator("main")).to_contain_text("Sedge Hour in the rain")
