"""The backline specification on a phone: asked for along a leg, answered at a show."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Page, expect

from rigs.models import BacklineAnswer, BacklineLine
from tests.rigs.shows.shows import make_show
from tests.support.pages import at
from tests.support.phones import check_page
from tests.support.world import World

pytestmark = pytest.mark.browser


def test_a_leg_asks_and_a_show_is_answered(world: World, live_server: Any, phone: Page) -> None:
    show = make_show(world)
    phone.goto(f"{live_server}{at(world, 'core:leg', show.leg_id)}")
    check_page(phone)
    phone.get_by_role("link", name="Backline of the whole leg").click()
    phone.get_by_role("button", name="Take it from the rigs that play").click()
    expect(phone.get_by_role("heading", name="1 × Valve amplifier head")).to_be_visible()
    phone.get_by_role("link", name="Ask for something").click()
    phone.get_by_label("what").fill("Bass cabinet, 4 × 10 in")
    phone.get_by_label("how many").fill("2")
    phone.get_by_label("wanted").fill("Corvane Hull")
    phone.get_by_label("accepted instead").fill("Tarn Keep")
    check_page(phone)
    phone.get_by_role("button", name="Save", exact=True).click()
    expect(phone.get_by_role("heading", name="2 × Bass cabinet, 4 × 10 in")).to_be_visible()
    check_page(phone)
    phone.goto(f"{live_server}{at(world, 'rigs:show_backline', show.pk)}")
    line = phone.get_by_role("listitem").filter(has_text="2 × Bass cabinet, 4 × 10 in")
    line.get_by_role("link", name="Offered and came").click()
    phone.locator("[name=offered]").fill("Tarn Keep 410")
    phone.get_by_label("how many came").fill("1")
    check_page(phone)
    phone.get_by_role("button", name="Save", exact=True).click()
    expect(phone.get_by_text("Tarn Keep 410: accepted instead")).to_be_visible()
    expect(phone.get_by_text("1 of 2 did not come.")).to_be_visible()
    check_page(phone)
    assert BacklineLine.objects.count() == 2
    assert BacklineAnswer.objects.get().came_count == 1
