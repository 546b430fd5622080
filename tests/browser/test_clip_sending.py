"""Sending a sound over a slow line, and one that a browser recorded."""

from __future__ import annotations

import base64
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from django.urls import reverse
from playwright.sync_api import Browser, Page, expect

from notes.models import Clip, StoredSound
from tests.support.pages import as_user
from tests.support.phones import wait_until
from tests.support.sounds import as_file
from tests.support.world import World, make_world

pytestmark = pytest.mark.browser
KEPT = re.compile(r"/clips/[0-9a-f-]{36}/$")


@pytest.fixture
def world(transactional_db: None, settings: Any, tmp_path: Path) -> World:
    settings.MEDIA_ROOT = tmp_path / "media"
    return make_world()


@pytest.fixture
def phone(world: World, live_server: Any, browser: Browser) -> Iterator[Page]:
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
    session = as_user(world.tech).cookies["sessionid"].value
    context.add_cookies([{"name": "sessionid", "value": session, "url": str(live_server)}])
    page = context.new_page()
    url = reverse("notes:clip_new", args=[world.production.pk, world.rig.pk])
    page.goto(f"{live_server.url}{url}?input={world.input.pk}")
    yield page
    context.close()


@pytest.fixture
def line(phone: Page) -> Callable[[int], None]:
    """Sets how many kB a second go up; −1: as many as can."""
    devtools = phone.context.new_cdp_session(phone)

    def set_to(kilobytes: int) -> None:
        devtools.send(
            "Network.emulateNetworkConditions",
            {
                "offline": False,
                "latency": 50,
                "downloadThroughput": -1,
                "uploadThroughput": kilobytes * 1000 if kilobytes > 0 else -1,
            },
        )

    return set_to


def choose(page: Page, data: bytes, name: str = "Bass.wav") -> None:
    file = {"name": name, "mimeType": "audio/wav", "buffer": data}
    page.set_input_files("input[type=file]", file)


def press(page: Page, name: str = "Upload and save") -> None:
    page.get_by_role("button", name=name, exact=True).click()


NOISE = as_file(np.random.default_rng(1).uniform(-0.5, 0.5, (400_000, 1)))  # 1.2 MB


def test_a_slow_line_shows_how_far_it_is(world: World, phone: Page, line: Any) -> None:
    line(60)
    choose(phone, NOISE)
    press(phone)
    said = phone.locator("[data-said]")
    expect(said).to_have_text(re.compile(r"^[1-9]\d? % of 1 MB is sent\.$"))
    expect(phone.get_by_role("button", name="Upload and save")).to_be_disabled()
    line(-1)
    phone.wait_for_url(KEPT)
    assert Clip.objects.count() == 1


def test_sending_can_be_stopped(world: World, phone: Page, line: Any) -> None:
    line(50)
    choose(phone, NOISE)
    press(phone)
    expect(phone.locator("[data-said]")).to_contain_text("% of 1 MB")
    press(phone, "Stop the upload")
    expect(phone.locator("[data-said]")).to_contain_text("Stopped.")
    assert not StoredSound.objects.exists()
    line(-1)
    press(phone)  # the file is still chosen
    phone.wait_for_url(KEPT)


def test_what_is_missing_is_said_before_anything_is_sent(world: World, phone: Page) -> None:
    asked = []
    phone.on("request", lambda request: asked.append(request.method))
    phone.get_by_label("Input").select_option("")
    choose(phone, NOISE)
    press(phone)
    assert phone.evaluate("document.activeElement.name") == "input"
    assert "POST" not in asked
    phone.get_by_label("Input").select_option(str(world.input.pk))
    press(phone)
    phone.wait_for_url(KEPT)


def test_errors_of_other_fields_keep_the_chosen_file(world: World, phone: Page) -> None:
    choose(phone, NOISE)
    # An input that was put away meanwhile: the page still offers it.
    phone.evaluate(
        """() => {
          const other = new Option("gone", "5f0e1d52-0c0b-4f2a-9d8e-7b1a2c3d4e5f", true, true);
          document.querySelector("[name=input]").append(other);
        }"""
    )
    press(phone)
    expect(phone.get_by_role("alert")).to_be_visible()
    assert phone.evaluate("document.querySelector('input[type=file]').files[0].name") == "Bass.wav"
    phone.get_by_label("Input").select_option(str(world.input.pk))
    press(phone)
    phone.wait_for_url(KEPT)


RECORD = """async (type) => {
  if (!MediaRecorder.isTypeSupported(type)) return null;
  const context = new AudioContext();
  const source = new OscillatorNode(context, { frequency: 440 });
  const gain = new GainNode(context, { gain: 0.25 });
  const heard = context.createMediaStreamDestination();
  source.connect(gain).connect(heard);
  source.start();
  const recorder = new MediaRecorder(heard.stream, { mimeType: type });
  const pieces = [];
  recorder.ondataavailable = (event) => pieces.push(event.data);
  const ended = new Promise((done) => (recorder.onstop = done));
  recorder.start(200);
  await new Promise((done) => setTimeout(done, 2200));
  recorder.stop();
  await ended;
  const bytes = new Uint8Array(await new Blob(pieces).arrayBuffer());
  return btoa(Array.from(bytes, (byte) => String.fromCharCode(byte)).join(""));
}"""


@pytest.mark.parametrize("kind", ["audio/webm;codecs=opus", "audio/mp4;codecs=opus"])
def test_what_the_browser_records_is_kept_and_plays(world: World, phone: Page, kind: str) -> None:
    """A tone of 440 Hz, 0.25 of full scale, as Chromium's own recorder packs it, its length
    unwritten. −12.04 − 3.01 − 0.69 dB and 0.1 for the filter: −15.7 LUFS for one channel, and
    3.01 more for two."""
    packed = phone.evaluate(RECORD, kind)
    if packed is None:
        pytest.skip(f"this Chromium does not record {kind}")
    choose(phone, base64.b64decode(packed), "recording")
    press(phone)
    phone.wait_for_url(KEPT)
    clip = Clip.objects.get()
    assert clip.sound.format.endswith("/opus")
    assert 1.0 < clip.seconds < 4
    one = -15.7 + (3.01 if clip.right else 0)
    assert clip.figures["integrated"] == pytest.approx(one, abs=0.7)
    assert clip.figures["centroid"] == pytest.approx(440, rel=0.05)
    phone.evaluate("document.querySelector('audio').play()")
    wait_until(phone, "document.querySelector('audio').currentTime > 0.3")
