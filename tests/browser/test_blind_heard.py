"""A blind trial in Chromium: two telephones, the keyboard alone, real playback, no scripts."""

from __future__ import annotations

from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.conf import settings
from django.test import Client
from django.urls import reverse
from playwright.sync_api import Browser, Page, expect

from notes.blind.services import open_blind
from notes.models import BlindAnswer, BlindSitting, BlindTrial
from tests.browser.test_every_page import sign_in
from tests.support.clips_side_by_side import clip_of, noise
from tests.support.listening import open_a_trial
from tests.support.phones import until
from tests.support.world import World

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
AT = "number => document.querySelectorAll('audio')[number].currentTime"
PAUSED = "number => document.querySelectorAll('audio')[number].paused"


@pytest.fixture
def blind(world: World) -> BlindTrial:
    source = noise(3.0, level=0.2)
    near, far = clip_of(world, source, "Near one"), clip_of(world, 0.3 * source, "Far one")
    return open_blind(
        trial=open_a_trial(world), clip_a=near, clip_b=far, rounds=5, listeners=2, by=world.engineer
    )


def begin(page: Page, server: str, world: World, blind: BlindTrial) -> None:
    page.set_viewport_size({"width": 390, "height": 844})
    page.goto(server + reverse("notes:blind", args=[world.production.pk, blind.pk]))
    page.get_by_role("button", name="Begin").click()
    expect(page.get_by_role("heading", name="Round 1 of 5")).to_be_visible(timeout=15_000)
    page.wait_for_load_state()


def is_heard(page: Page, number: int) -> None:
    """Its playback moves on. (The page's policy forbids playwright's own waiting.)"""
    until(page, lambda: page.evaluate(AT, number) > 0.1)


def test_a_round_by_the_keyboard_alone(
    page: Page, live_server: Any, world: World, blind: BlindTrial
) -> None:
    sign_in(page, live_server.url, world, "dark")
    begin(page, live_server.url, world, blind)
    page.keyboard.press("1")
    is_heard(page, 0)
    page.keyboard.press("3")
    is_heard(page, 2)
    assert page.evaluate(PAUSED, 0)
    page.keyboard.press("3")
    assert page.evaluate(PAUSED, 2)
    for clip in ("Near one", "Far one"):
        assert clip not in page.content()
    assert Axe().run(page).violations_count == 0
    page.locator("input[name=x]").first.focus()
    page.keyboard.press("Space")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="Round 2 of 5")).to_be_visible()
    assert BlindAnswer.objects.get().x == "first"


def test_two_telephones_at_once_one_leaves_and_comes_back_without_scripts(
    browser: Browser, live_server: Any, world: World, blind: BlindTrial
) -> None:
    pages = []
    for role in ("tech", "crew"):
        context = browser.new_context(java_script_enabled=role == "tech", service_workers="block")
        context.add_cookies([_session(world, role, live_server.url)])
        pages.append(context.new_page())
        begin(pages[-1], live_server.url, world, blind)
    one, other = BlindSitting.objects.order_by("began_at")
    assert one.seal != other.seal
    for page in pages:
        page.locator("input[name=x][value=second]").check()
        page.get_by_role("button", name="Next round").click()
    leaving, staying = pages
    leaving.goto(live_server.url)
    staying.locator("input[name=x][value=first]").check()
    staying.get_by_role("button", name="Next round").click()
    expect(staying.get_by_role("heading", name="Round 3 of 5")).to_be_visible()
    leaving.goto(live_server.url + reverse("notes:blind", args=[world.production.pk, blind.pk]))
    leaving.get_by_role("link", name="To the next round").click()
    expect(leaving.get_by_role("heading", name="Round 2 of 5")).to_be_visible()
    for page in pages:
        page.context.close()


def _session(world: World, role: str, url: str) -> Any:
    client = Client()
    client.force_login(world.people[role])
    name = settings.SESSION_COOKIE_NAME
    return {"name": name, "value": client.cookies[name].value, "url": url}
