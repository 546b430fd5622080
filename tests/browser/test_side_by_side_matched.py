"""The gains follow the part that is looped, in Chromium."""

from __future__ import annotations

from typing import Any

import pytest
from django.urls import reverse
from playwright.sync_api import Page, expect

from tests.browser.test_every_page import sign_in
from tests.support.clips_side_by_side import RATE, clip_of, noise
from tests.support.world import make_world

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
GAINS = "document.querySelector('[data-side-by-side]').player.sounds.map(({ gain }) => gain)"


def test_a_loop_is_matched_over_just_that_part(
    page: Page, live_server: Any, transactional_db: None
) -> None:
    """From 2 to 4 s the second is 12 dB down; elsewhere both are one sound."""
    world = make_world()
    first = noise(6)
    second = first.copy()
    second[2 * RATE : 4 * RATE] *= 10 ** (-12 / 20)
    one, two = clip_of(world, first, "One"), clip_of(world, second, "Two")
    sign_in(page, live_server.url, world, "dark")
    page.set_viewport_size({"width": 390, "height": 844})
    address = reverse("notes:compare", args=[world.production.pk])
    page.goto(f"{live_server.url}{address}?clip={one.pk}&clip={two.pk}")
    whole = page.evaluate(GAINS)
    page.get_by_label("from, s").first.fill("2")
    page.get_by_label("to, s").first.fill("4")
    page.get_by_role("button", name="Loop").click()
    said = page.locator("[data-said]")
    expect(said).to_contain_text("Equally loud over just that.", timeout=15_000)
    part = page.evaluate(GAINS)
    assert part[1] - part[0] == pytest.approx(12, abs=0.1)
    expect(page.locator("[data-gain-words]").nth(1)).to_have_text("played 12.0 dB louder")
    page.get_by_role("button", name="Loop").click()
    expect(said).to_have_text("Not looping.")
    assert page.evaluate(GAINS) == pytest.approx(whole)
    page.get_by_role("link", name="Read this part").click()
    expect(page.get_by_text("are those from 2.00 to 4.00 s")).to_be_visible()
    expect(page.get_by_role("button", name="Loop")).to_have_attribute("aria-pressed", "true")
