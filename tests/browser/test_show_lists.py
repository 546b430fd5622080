"""The lists and findings of one show on a phone: lines, and a finding accepted in its form."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest
from playwright.sync_api import Page, expect

from core.models import Show
from rigs.changes.edits import Add
from rigs.models import Device, ShowFindingWords
from rigs.shows.services import differ
from tests.support.pages import at
from tests.support.phones import check_page
from tests.support.world import World, make_world

pytestmark = pytest.mark.browser


@pytest.fixture
def world(transactional_db: None) -> World:
    world = make_world()
    second = {"name": "Second", "number": 9, "device": str(world.mic.pk)}
    world.record(Add(str(uuid4()), "input", second))
    Device.objects.filter(pk=world.mic.pk).update(owned=1)
    return world


def test_a_finding_of_a_show_is_accepted_with_words(
    world: World, show: Show, live_server: Any, phone: Page
) -> None:
    phone.goto(f"{live_server}{at(world, 'rigs:show_findings', show.pk)}")
    card = phone.locator(".finding").filter(has_text="1 too few for this show")
    card.get_by_text("Accept it as it is").click()
    check_page(phone)
    card.get_by_role("button", name="Accept with these words").click()
    expect(card.locator(".field-errors, .form-errors").first).to_be_visible()
    check_page(phone)
    card.get_by_role("textbox").fill("The house lends one.")
    card.get_by_role("button", name="Accept with these words").click()
    expect(phone.get_by_role("region", name="Accepted")).to_contain_text("The house lends one.")
    check_page(phone)
    assert ShowFindingWords.objects.get(show=show).accepted


def test_the_lists_of_a_show_are_lines(
    world: World, show: Show, live_server: Any, phone: Page
) -> None:
    differ(show, world.input, by=world.tech, why="room", words="No floor.", absent=True)
    for name, most in (("show_inputs", 125), ("show_pack", 110)):
        phone.goto(f"{live_server}{at(world, f'rigs:{name}', show.pk)}")
        lines = phone.locator(".table-lines tbody tr")
        assert lines.count() >= 1
        for line in lines.all():
            box, act = line.bounding_box(), line.locator(".line-act a").bounding_box()
            assert box is not None
            assert act is not None
            assert box["height"] < most
            assert act["height"] >= 44
            assert act["width"] >= 44
        check_page(phone)
