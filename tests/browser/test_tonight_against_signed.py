"""Tonight against the signed sound on a phone in the dark: heard, taken up, and what it was."""

from __future__ import annotations

from typing import Any

import pytest
from django.urls import reverse
from playwright.sync_api import Page, expect

from notes.models import CauseOutcome
from tests.browser.side_by_side import is_now, play
from tests.browser.test_every_page import sign_in
from tests.notes.causes.nights import signed_clip, thin_night
from tests.support.seen import SIDEWAYS
from tests.support.world import make_world

NO_CONSTRUCTOR = """
window.AudioBufferSourceNode = class {
  constructor() { throw new TypeError("Illegal constructor."); }
};
"""

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

LENGTH = """each => new Promise((resolve, reject) => {
  each.onloadedmetadata = () => resolve(each.duration);
  each.onerror = () => reject(new Error("no sound"));
  each.preload = "auto";
  each.load();
})"""


def test_from_hearing_both_to_saying_what_it_was(page: Page, live_server: Any) -> None:
    world = make_world()
    signed_clip(world)
    night = thin_night(world)
    sign_in(page, live_server.url, world, "dark")
    page.set_viewport_size({"width": 390, "height": 844})
    page.goto(live_server.url + reverse("notes:clip_changed", args=[world.production.pk, night.pk]))
    assert page.evaluate(SIDEWAYS) == 0
    play(page)
    page.locator("[data-pick]").nth(1).click()
    expect(page.locator("[data-said]")).to_contain_text("B is heard, played")
    page.get_by_role("button", name="Pause").click()
    is_now(page, "paused")

    first = page.locator(".cause").first
    expect(first).to_contain_text("High-pass")
    button = first.get_by_role("button", name="Change something because of it")
    box = button.bounding_box()
    assert box is not None
    assert box["height"] >= 44
    button.click()
    expect(page.locator("[name=reason_words]")).to_have_value("Could be: High-pass: in, at 250 Hz.")

    page.goto(live_server.url + reverse("notes:causes", args=[world.production.pk]))
    page.get_by_role("link", name="High-pass").click()
    page.get_by_label("it was that", exact=True).check()
    page.get_by_label("how you know").fill("It was in.")
    page.get_by_role("button", name="Put it on record").click()
    expect(page.get_by_text("How it turned out is on record.")).to_be_visible()
    assert page.evaluate(SIDEWAYS) == 0
    assert CauseOutcome.objects.get().outcome == "was"


def test_a_browser_that_cannot_mix_plays_one_and_then_the_other(
    page: Page, live_server: Any
) -> None:
    world = make_world()
    signed_clip(world)
    night = thin_night(world)
    sign_in(page, live_server.url, world, "dark")
    # What an older engine has not; its scripts run all the same.
    page.add_init_script("delete window.AudioContext")
    page.goto(live_server.url + reverse("notes:clip_changed", args=[world.production.pk, night.pk]))
    expect(page.locator("[data-controls]")).to_be_hidden()
    players = page.locator("[data-plain] audio")
    expect(players).to_have_count(2)
    for number in (0, 1):
        assert players.nth(number).evaluate(LENGTH) == pytest.approx(3.0, abs=0.1)
    # What has the names and not the constructors is noticed when it is to play.
    other = page.context.new_page()
    other.add_init_script(NO_CONSTRUCTOR)
    other.goto(page.url)
    expect(other.locator("[data-plain]")).to_be_hidden()
    other.get_by_role("button", name="Play", exact=True).click()
    expect(other.locator("[data-plain] audio")).to_have_count(2)
    expect(other.locator("[data-plain]")).to_be_visible()
    expect(other.locator("[data-said]")).to_contain_text("Below they can be played one by one.")
