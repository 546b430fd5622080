"""The gains follow the part that is looped, in Chromium."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest
from django.urls import reverse
from playwright.sync_api import Page, Route, expect

from tests.browser.test_every_page import sign_in
from tests.support.clips_side_by_side import RATE, clip_of, noise
from tests.support.world import make_world

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
# Where the page asks for the gains of a part.
ASKED = re.compile(r"/gains/?\?")
GAINS = "document.querySelector('[data-side-by-side]').player.sounds.map(({ gain }) => gain)"


def test_a_loop_is_matched_over_just_that_part(
    page: Page, live_server: Any, transactional_db: None
) -> None:
    """From 2 to 4 s the second is 12 dB down; elsewhere both are one sound."""
    open_with_a_quiet_part(page, live_server.url)
    whole = page.evaluate(GAINS)
    loop_the_quiet_part(page)
    said = page.locator("[data-said]")
    expect(said).to_contain_text("Equally loud over just that.")
    part = page.evaluate(GAINS)
    assert part[1] - part[0] == pytest.approx(12, abs=0.1)
    expect(page.locator("[data-gain-words]").nth(1)).to_have_text("played 12.0 dB louder")
    page.get_by_role("button", name="Loop").click()
    expect(said).to_have_text("Not looping.")
    assert page.evaluate(GAINS) == pytest.approx(whole)
    page.get_by_role("link", name="Measure this part").click()
    expect(page.get_by_text("are those from 2.00 to 4.00 s")).to_be_visible()
    expect(page.get_by_role("button", name="Loop")).to_have_attribute("aria-pressed", "true")


def test_until_the_match_is_there_nothing_is_played_too_loud(
    page: Page, live_server: Any, transactional_db: None
) -> None:
    """Out of a part in which the second is 12 dB down, back to all of it."""
    open_with_a_quiet_part(page, live_server.url, "&from=2&to=4")
    matched = page.evaluate(GAINS)
    assert matched[1] - matched[0] == pytest.approx(12, abs=0.1)
    waiting: list[Route] = []
    page.route(ASKED, lambda route: waiting.append(route))  # its signature is read
    page.get_by_role("button", name="Loop").click()
    said, words = page.locator("[data-said]"), page.locator("[data-gain-words]").nth(1)
    expect(said).to_contain_text("none is played louder than it was recorded")
    assert_cautious(page, matched)
    expect(words).to_have_text("not matched to this part")
    page.keyboard.press("2")
    expect(said).to_contain_text("B is heard, not matched to this part.")
    waiting[0].continue_()
    expect(said).to_have_text("Not looping. Equally loud over just that.")
    answered = page.evaluate(GAINS)
    assert answered[1] - answered[0] < 6  # two thirds of the time they are one sound
    expect(words).to_contain_text("played")


def does_not_answer(route: Route) -> None:
    route.abort()


def fails(route: Route) -> None:
    route.fulfill(status=500, body="")


def answers_without_gains(route: Route) -> None:
    route.fulfill(json={"sides": [{"words": "played as it is"}]})


def refuses(route: Route) -> None:
    route.fulfill(json={"refused": "There is nothing to hear in this part."})


@pytest.mark.parametrize("answer", [does_not_answer, fails, answers_without_gains, refuses])
def test_without_a_match_it_stays_at_the_lower_gains_and_says_so(
    page: Page, live_server: Any, transactional_db: None, answer: Callable[[Route], None]
) -> None:
    open_with_a_quiet_part(page, live_server.url, "&from=2&to=4")
    matched = page.evaluate(GAINS)
    page.route(ASKED, answer)
    page.get_by_role("button", name="Loop").click()
    said = page.locator("[data-said]")
    why = "There is nothing to hear" if answer is refuses else "The service does not answer"
    expect(said).to_contain_text(f"Not looping. {why}")
    expect(said).to_contain_text("So none is played louder than it was recorded")
    assert_cautious(page, matched)
    expect(page.locator("[data-gain-words]").nth(1)).to_have_text("not matched to this part")
    page.get_by_role("button", name="Loop").click()  # back to what the page came with
    expect(said).to_have_text("Looping 2 to 4 s.")
    assert page.evaluate(GAINS) == pytest.approx(matched)
    expect(page.locator("[data-gain-words]").nth(1)).to_have_text("played 12.0 dB louder")


def open_with_a_quiet_part(page: Page, server: str, part: str = "") -> None:
    """Twice one sound, but the second is 12 dB down from 2 to 4 s."""
    world = make_world()
    first = noise(6)
    second = first.copy()
    second[2 * RATE : 4 * RATE] *= 10 ** (-12 / 20)
    one, two = clip_of(world, first, "One"), clip_of(world, second, "Two")
    sign_in(page, server, world, "dark")
    page.set_viewport_size({"width": 390, "height": 844})
    address = reverse("notes:compare", args=[world.production.pk])
    page.goto(f"{server}{address}?clip={one.pk}&clip={two.pk}{part}")


def loop_the_quiet_part(page: Page) -> None:
    page.get_by_label("from, s").first.fill("2")
    page.get_by_label("to, s").first.fill("4")
    page.get_by_role("button", name="Loop").click()


def assert_cautious(page: Page, before: list[float]) -> None:
    """No gain above what it was, none above 0 dB."""
    now = page.evaluate(GAINS)
    assert all(gain <= min(old, 0) + 1e-9 for gain, old in zip(now, before, strict=True)), now
