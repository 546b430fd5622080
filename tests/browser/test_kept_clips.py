"""Clips that a device keeps play there when the server is gone; clips come to notes later."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, Playwright, expect

from tests.support.phones import Phone, Stage, go, phone_of, wait_until, wait_until_sent, write_note
from tests.support.sounds import wav

pytestmark = pytest.mark.browser
BRING = """
from core.models import User
from notes.clips.services import upload_clip
from rigs.models import Rig
from tests.support.sounds import wav
rig = Rig.objects.get(pk="{rig}")
clip = upload_clip(data=wav(6), name="Low D.wav", by=User.objects.get(pk="{by}"), rig=rig,
                   input=rig.inputs.first())
print(json.dumps({{"id": str(clip.pk), "input": str(clip.input_id), "bytes": clip.preview_bytes}}))
"""
PLAY = """async () => {
  const sound = document.querySelector("audio");
  sound.muted = true;
  await sound.play();
}"""
JUMP = """async () => {
  const sound = document.querySelector("audio");
  const there = new Promise((done) => sound.addEventListener("seeked", done, { once: true }));
  sound.currentTime = 4;
  await there;
  return [sound.currentTime, sound.duration];
}"""


@pytest.fixture
def clip(stage: Stage) -> Any:
    world = stage.world
    return stage.server.run(BRING.format(rig=world["rig"], by=world["users"]["engineer"]))


def past(page: Page, seconds: float) -> None:
    wait_until(page, f"document.querySelector('audio').currentTime > {seconds}")


def test_a_kept_preview_plays_and_jumps_without_the_server(
    playwright: Playwright, tmp_path: Path, stage: Stage, clip: Any
) -> None:
    with phone_of(playwright, tmp_path / "phone", stage, "crew") as (phone, page):
        stage.server.stop()
        phone.close()
        page = phone.open()
        go(page, stage, f"{stage.rig}inputs/{clip['input']}/")
        expect(page.locator("[data-kept-notice]")).to_be_visible()
        page.evaluate(PLAY)
        past(page, 0.5)
        at, length = page.evaluate(JUMP)
        assert at >= 4
        assert length == pytest.approx(6, abs=0.1)
        past(page, 4.3)


def test_a_note_waits_for_the_network_and_its_clip_comes_later(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (phone, page):
        stage.server.stop()
        write_note(page, stage, "The low D blooms.")
        expect(page.locator("[data-waiting-list]")).to_contain_text("The low D blooms.")
        stage.server.start()
        page.evaluate("document.querySelector('[data-waiting-send]').click()")
        wait_until_sent(page, 1)
        go(page, stage, f"{stage.world['place']}/notes/")
        page.locator(".thread-title a").first.click()
        page.get_by_role("link", name="Upload a clip").click()
        file = {"name": "Low D.wav", "mimeType": "audio/wav", "buffer": wav(2)}
        page.set_input_files("input[type=file]", file)
        inputs = page.get_by_label("Input")
        if not inputs.input_value():
            inputs.select_option(index=1)
        page.get_by_role("button", name="Upload and save", exact=True).click()
        expect(page.get_by_text("“Low D” is saved.")).to_be_visible()
        page.locator("dd a[href*='/notes/']").click()
        expect(page.locator("audio")).to_have_attribute("aria-label", "Play Low D")


LEFT = """
from pathlib import Path
from django.conf import settings
from notes.models import Clip, StoredSound
files = [p.name for p in Path(settings.MEDIA_ROOT).glob("clips/*/*") if p.is_file()]
print(json.dumps([list(Clip.objects.values_list("name", flat=True)),
                  StoredSound.objects.count(), len(files)]))
"""


def test_a_server_that_dies_in_the_middle_of_an_upload_keeps_no_half(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    phone = Phone(playwright, tmp_path / "phone", stage)
    page = phone.open()
    try:
        phone.sign_in("tech")
        go(page, stage, f"{stage.rig}clips/new/")
        page.get_by_label("Name").fill("Dead string")
        page.get_by_label("Input").select_option(index=1)
        file = {"name": "take.wav", "mimeType": "audio/wav", "buffer": wav(9)}
        page.set_input_files("input[type=file]", file)
        slow = {"offline": False, "latency": 20, "downloadThroughput": -1}
        devtools = page.context.new_cdp_session(page)
        devtools.send("Network.emulateNetworkConditions", slow | {"uploadThroughput": 60_000})
        page.clock.install()
        page.get_by_role("button", name="Upload and save", exact=True).click()
        said = page.locator("[data-said]")
        expect(said).to_contain_text("% of 1 MB is sent")
        # From here on it is sent again when the clock of the page is moved on.
        page.clock.pause_at(datetime.now() + timedelta(minutes=1))
        stage.server.stop()
        expect(said).to_have_text("The network went away. It is sent again in a moment …")
        assert stage.server.run(LEFT) == [[], 0, 0]
        stage.server.start()
        devtools.send("Network.emulateNetworkConditions", slow | {"uploadThroughput": -1})
        page.clock.run_for(1000)  # what was chosen and typed is sent again
        expect(page.get_by_text("“Dead string” is saved.")).to_be_visible()
        assert stage.server.run(LEFT) == [["Dead string"], 1, 3]
    finally:
        phone.close()
