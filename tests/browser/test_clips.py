"""Clips in a browser: sending with progress, what comes back, playing and jumping, on a phone."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse
from playwright.sync_api import Browser, Page, expect

from notes.models import Clip, StoredSound
from tests.support.pages import as_user
from tests.support.sounds import as_file, bring_clip, tone, wav
from tests.support.world import World, make_world

pytestmark = pytest.mark.browser


@pytest.fixture
def world(transactional_db: None, settings: Any, tmp_path: Path) -> World:
    settings.MEDIA_ROOT = tmp_path / "media"
    return make_world()


@pytest.fixture(params=[True, False], ids=["script", "plain"])
def scripted(request: pytest.FixtureRequest) -> bool:
    return bool(request.param)


@pytest.fixture
def phone(world: World, live_server: Any, browser: Browser, scripted: bool) -> Iterator[Page]:
    context = browser.new_context(
        viewport={"width": 360, "height": 800}, has_touch=True, java_script_enabled=scripted
    )
    session = as_user(world.tech).cookies["sessionid"].value
    context.add_cookies([{"name": "sessionid", "value": session, "url": str(live_server)}])
    yield context.new_page()
    context.close()


def send(page: Page, server: Any, world: World, name: str, data: bytes, button: str) -> None:
    url = reverse("notes:clip_new", args=[world.production.pk, world.rig.pk])
    page.goto(f"{server.url}{url}?input={world.input.pk}")
    page.set_input_files(
        "input[type=file]", {"name": name, "mimeType": "audio/wav", "buffer": data}
    )
    page.get_by_role("button", name=button, exact=True).click()


def test_sending_one_whole(world: World, phone: Page, live_server: Any) -> None:
    send(phone, live_server, world, "Bass.wav", wav(2, channels=2), "Upload and save")
    phone.wait_for_url(re.compile(r"/clips/[0-9a-f-]{36}/$"))
    expect(phone.get_by_role("heading", name="Bass", exact=True)).to_be_visible()
    expect(phone.get_by_text("“Bass” is saved.")).to_be_visible()
    assert Clip.objects.count() == 1


def test_choosing_a_part(world: World, phone: Page, live_server: Any) -> None:
    send(phone, live_server, world, "Take.wav", as_file(tone(3, channels=4)), "Upload and save")
    phone.wait_for_url(re.compile(r"/clips/new/\d+/"))
    phone.locator("#id_left").select_option("2")
    phone.get_by_label("From").fill("0:01")
    phone.get_by_role("button", name="Save this part").click()
    phone.wait_for_url(re.compile(r"/clips/[0-9a-f-]{36}/$"))
    clip = Clip.objects.get()
    assert (clip.left, float(clip.seconds)) == (2, 2.0)


def test_what_is_refused_can_be_sent_again(world: World, phone: Page, live_server: Any) -> None:
    send(phone, live_server, world, "Bass.wav", b"%PDF-1.7", "Upload and save")
    expect(phone.get_by_role("alert")).to_contain_text("This is a PDF.")
    file = {"name": "Bass.wav", "mimeType": "audio/wav", "buffer": wav(1)}
    phone.set_input_files("input[type=file]", file)
    phone.get_by_role("button", name="Upload and save").click()
    phone.wait_for_url(re.compile(r"/clips/[0-9a-f-]{36}/$"))
    assert StoredSound.objects.count() == 1


PLAY = """async () => {
  const sound = document.querySelector("audio");
  const before = performance.getEntriesByType("resource").some((e) => e.name.includes("/sound/"));
  sound.muted = true;
  await sound.play();
  sound.currentTime = 3;
  await new Promise((done) => sound.addEventListener("seeked", done, { once: true }));
  return { before, length: sound.duration, at: sound.currentTime };
}"""


@pytest.mark.parametrize("scripted", [True], indirect=True)
def test_a_clip_plays_and_jumps_and_is_fetched_on_demand(
    world: World, phone: Page, live_server: Any
) -> None:
    clip = bring_clip(world, wav(4, channels=2), left=1, right=2)
    phone.goto(live_server.url + clip.get_absolute_url())
    played = phone.evaluate(PLAY)
    assert played["before"] is False
    assert played["length"] == pytest.approx(4, abs=0.1)
    assert played["at"] >= 3


@pytest.mark.parametrize("scripted", [True], indirect=True)
def test_the_pages_are_fit_for_everybody(world: World, phone: Page, live_server: Any) -> None:
    clip = bring_clip(world, wav(1, channels=2), left=1, right=2)
    place, rig = world.production.pk, world.rig.pk
    for url in (
        clip.get_absolute_url(),
        reverse("notes:clips", args=[place]),
        reverse("notes:clip_new", args=[place, rig]),
        reverse("notes:clip_cut", args=[place, rig, clip.sound_id]),
    ):
        phone.goto(live_server.url + url)
        found = Axe().run(phone)
        assert found.violations_count == 0, found.generate_report()
        assert phone.evaluate("document.documentElement.scrollWidth") == 360
