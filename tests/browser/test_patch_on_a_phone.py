"""The patch on a phone: a first box, ways for many inputs at once, a line lent at a show."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Page, expect

from rigs.models import LentLine, PatchLine
from tests.rigs.patch.stages import add_inputs
from tests.rigs.shows.shows import make_show
from tests.support.pages import at
from tests.support.phones import check_page
from tests.support.world import World

pytestmark = pytest.mark.browser


def test_inputs_get_their_ways_and_an_act_its_lines(
    world: World, live_server: Any, phone: Page
) -> None:
    add_inputs(world, 20, 8)
    show = make_show(world)
    phone.goto(f"{live_server}{at(world, 'rigs:patch')}")
    check_page(phone)
    phone.get_by_role("link", name="Add the first box").click()
    phone.get_by_label("name").fill("Stage box A, upstage left behind the drum riser")
    phone.get_by_label("short mark").fill("A")
    check_page(phone)
    phone.get_by_role("button", name="Save", exact=True).click()
    expect(phone.get_by_text("Spare: 1–12 (12).")).to_be_visible()
    phone.get_by_role("link", name="Many at once").click()
    check_page(phone)
    lines = phone.get_by_role("textbox", name="Inputs and ways, one a line")
    lines.fill("20–27 → A 6")
    phone.get_by_role("button", name="Save", exact=True).click()
    expect(lines).to_have_value("20–27 → A 6")
    expect(phone.get_by_text("there is no way A 13").first).to_be_visible()
    lines.fill("20–27 → A 5, monitor 20")
    phone.get_by_role("button", name="Save", exact=True).click()
    expect(phone.get_by_text("Spare: 1–4 (4).")).to_be_visible()
    check_page(phone)
    for order in ("By channel", "By position"):
        phone.get_by_role("link", name=order).click()
        expect(phone.get_by_text("monitor 27")).to_be_visible()
        check_page(phone)
    assert PatchLine.objects.count() == 8
    phone.goto(f"{live_server}{at(world, 'rigs:show_patch', show.pk)}")
    phone.get_by_role("link", name="Lend or borrow").click()
    check_page(phone)
    phone.get_by_label("the other act").fill("The Kestrel Lamps")
    phone.get_by_label("lines or kit").fill("Two voices")
    phone.get_by_label("box").select_option(index=1)
    phone.get_by_label("from way").fill("1")
    phone.get_by_label("how many ways").fill("2")
    phone.get_by_role("button", name="Save", exact=True).click()
    expect(phone.get_by_text("Two voices, lent to The Kestrel Lamps").first).to_be_visible()
    check_page(phone)
    assert LentLine.objects.get().ways == "A 1–2"
