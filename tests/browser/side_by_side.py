"""The page of two clips side by side in Chromium, and its player."""

from __future__ import annotations

import numpy as np
from django.urls import reverse
from numpy.typing import NDArray
from playwright.sync_api import Page, expect

from tests.browser.test_every_page import sign_in
from tests.support.clips_side_by_side import clip_of, later
from tests.support.world import World

LATER = 4800  # samples: the second clip is the same performance, 100 ms later
POSITION = "document.querySelector('[data-side-by-side]').player.position"


def open_two(page: Page, server: str, world: World, source: NDArray[np.float64]) -> None:
    """Two clips of one sound, the second a tenth of a second later and 12 dB down."""
    one = clip_of(world, source, "Near")
    two = clip_of(world, 0.25 * later(source, LATER), "Far")
    sign_in(page, server, world, "dark")
    page.set_viewport_size({"width": 390, "height": 844})
    address = reverse("notes:compare", args=[world.production.pk])
    page.goto(f"{server}{address}?clip={one.pk}&clip={two.pk}")


def play(page: Page) -> None:
    page.get_by_role("button", name="Play").click()
    is_now(page, "playing")


def is_now(page: Page, state: str) -> None:
    expect(page.locator("[data-side-by-side]")).to_have_attribute("data-state", state)
