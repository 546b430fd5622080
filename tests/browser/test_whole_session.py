"""A whole session on a phone: upload it, correct a border, cut a clip of one channel of a take."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse
from playwright.sync_api import Browser, Page, expect

from notes.models import Clip, ListeningSession, Take
from tests.notes.takes.rehearsal import rehearsal
from tests.support.pages import as_user
from tests.support.world import World, make_world

pytestmark = pytest.mark.browser


@pytest.fixture
def world(transactional_db: None, settings: Any, tmp_path: Path) -> World:
    settings.MEDIA_ROOT = tmp_path / "media"
    return make_world()


@pytest.fixture
def phone(world: World, live_server: Any, browser: Browser) -> Iterator[Page]:
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
    session = as_user(world.tech).cookies["sessionid"].value
    context.add_cookies([{"name": "sessionid", "value": session, "url": str(live_server)}])
    yield context.new_page()
    context.close()


def test_uploaded_corrected_and_cut(
    world: World, phone: Page, live_server: Any, tmp_path: Path
) -> None:
    session = ListeningSession.objects.create(
        production=world.production, name="Rehearsal", held_on=date(2026, 11, 2)
    )
    url = reverse("notes:session", args=[world.production.pk, session.pk])
    phone.goto(f"{live_server.url}{url}")
    phone.get_by_role("link", name="Upload a recording").click()
    phone.set_input_files("input[type=file]", rehearsal(tmp_path, channels=2))
    phone.get_by_role("button", name="Upload and find the takes").click()
    phone.wait_for_url(re.compile(r"/recordings/[0-9a-f-]{36}/$"))
    expect(phone.locator(".take-row:not(.is-pause)")).to_have_count(3)
    problems = Axe().run(phone).response["violations"]
    assert not problems, [each["id"] for each in problems]
    assert phone.evaluate("document.documentElement.scrollWidth") <= 390
    phone.get_by_role("link", name="take 2", exact=True).click()
    phone.locator("#id_starts_s").fill("0:35")
    phone.get_by_role("button", name="Save").click()
    phone.wait_for_url(re.compile(r"/recordings/[0-9a-f-]{36}/$"))
    assert Take.objects.filter(starts_s=35, by=world.tech).exists()
    phone.get_by_role("link", name="Cut a clip of take 2").click()
    phone.locator("#id_channel").select_option(label="Channel 2, rehearsal.wav")
    phone.locator("#id_input").select_option(value=str(world.input.pk))
    phone.locator("#id_to_s").fill("0:04")
    phone.get_by_role("button", name="Cut it").click()
    phone.wait_for_url(re.compile(r"/clips/[0-9a-f-]{36}/$"))
    clip = Clip.objects.get()
    assert (clip.left, clip.starts_s, clip.seconds) == (2, 35, 4)
