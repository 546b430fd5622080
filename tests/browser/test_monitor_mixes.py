"""A mix on a phone: written, wished for and ticked, and signed by a link, at 390 px."""

from __future__ import annotations

import re
from datetime import date

import pytest
from playwright.sync_api import Browser, Page, expect

from core.models import Leg, Show
from core.models.roles import Role
from notes.models import MixSignOff, MixWishMark, MonitorMix
from notes.monitors.services import state_at
from tests.support.pages import as_user
from tests.support.world import World

pytestmark = pytest.mark.browser


def fits(page: Page) -> bool:
    return bool(page.evaluate("document.documentElement.scrollWidth <= 390"))


def test_a_mix_from_the_first_line_to_the_signature(
    world: World, live_server: object, browser: Browser
) -> None:
    leg = Leg.objects.create(
        production=world.production, name="Leg", starts_on=date(2026, 9, 1), ends_on="2026-09-09"
    )
    show = Show.objects.create(leg=leg, held_on=date(2026, 9, 2), room="Barn")
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
    session = as_user(world.people[Role.MONITORS]).cookies["sessionid"].value
    context.add_cookies([{"name": "sessionid", "value": session, "url": str(live_server)}])
    page, place = context.new_page(), f"{live_server}/p/{world.production.pk}"
    page.goto(f"{place}/mixes/new/")
    assert fits(page)
    page.locator("[name=name]").fill("Ears Ines")
    page.locator("[name=kind]").select_option("ear_mono")
    page.locator("[name=player]").select_option(str(world.player.pk))
    page.get_by_label("Of what").first.fill(str(world.input.number))
    page.get_by_label("In their words").first.fill("The thump, please.")
    page.get_by_role("button", name="Save").tap()
    expect(page.get_by_text("The thump, please.").first).to_be_visible()
    expect(page.get_by_text("limiter on").first).to_be_visible()
    assert fits(page)
    mix = MonitorMix.objects.get()
    assert state_at(mix, 1).wants[0].inputs == (f"input:{world.input.pk}",)

    page.goto(f"{place}/shows/{show.pk}/mixes/")
    page.get_by_label("Wish for tonight").fill("Less room")
    page.get_by_role("button", name="Add").tap()
    done = page.get_by_role("button", name=re.compile(r"^Done.*Less room"))
    box = done.bounding_box()
    assert box is not None
    assert box["height"] >= 44
    done.tap()
    expect(page.get_by_role("button", name=re.compile(r"^Not done.*Less room"))).to_be_visible()
    assert MixWishMark.objects.get().state == "done"
    assert fits(page)

    page.goto(f"{place}/mixes/{mix.pk}/ask/")
    page.get_by_role("button", name="Make the link").tap()
    link = page.get_by_label("Send the link").input_value()
    player = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True).new_page()
    player.goto(link)
    expect(player.get_by_role("heading", name="is this your mix?")).to_be_visible()
    expect(player.get_by_text("Hearing", exact=True)).to_be_visible()
    assert fits(player)
    player.get_by_role("button", name="This is my mix").tap()
    expect(player.get_by_role("heading", name="Thank you")).to_be_visible()
    assert MixSignOff.objects.get().version.number == 1
    player.context.close()
    context.close()
