"""Long pages in short: what is folded is there for a fragment, for paper and without scripts."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse
from playwright.sync_api import Browser, Page, expect

from core.models import Leg
from notes.handover.publish import publish
from notes.models import Handover
from rigs.changes.edits import Add
from tests.support.phones import PHONE
from tests.support.world import World

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
# WCAG 2.2, 2.5.8 asks 24 px; the house asks 44, as 2.5.5 does.
TAP = 44


def sign_in(page: Page, server: str, world: World) -> None:
    client = Client()
    client.force_login(world.tech)
    session = client.cookies[settings.SESSION_COOKIE_NAME].value
    page.context.add_cookies(
        [{"name": settings.SESSION_COOKIE_NAME, "value": session, "url": server}]
    )
    page.set_viewport_size(PHONE)


def at(server: str, world: World, name: str, *more: Any) -> str:
    return server + reverse(name, args=[world.production.pk, *more])


def in_a_case(world: World) -> None:
    weight = {"unit": str(world.unit.pk), "key": "weight", "value": "21"}
    world.record(
        Add("00000000-0000-4000-8000-0000000000c1", "fact", weight),
    )


def test_a_folded_section_opens_prints_and_needs_no_script(
    browser: Browser, live_server: Any, world: World
) -> None:
    in_a_case(world)
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    sign_in(page, live_server.url, world)
    page.goto(at(live_server.url, world, "rigs:pack_list"))
    line = page.locator("#cases tbody tr")
    expect(line).to_be_hidden()
    page.emulate_media(media="print")
    expect(line).to_be_visible()
    page.emulate_media(media="screen")
    page.locator("#cases summary").click()
    expect(line).to_be_visible()
    page.goto(at(live_server.url, world, "rigs:case"))  # leads to the cases of the pack list
    expect(line).to_be_visible()
    context.close()


def test_a_line_of_the_input_list_says_what_is_set(
    page: Page, live_server: Any, world: World
) -> None:
    sign_in(page, live_server.url, world)
    page.goto(at(live_server.url, world, "rigs:input_list"))
    row = page.locator(".input-list tbody tr").first
    expect(row).to_contain_text("Bass mic")
    expect(row).to_contain_text("HPF 30 Hz")
    expect(row.locator("td:visible", has_text="–")).to_have_count(0)
    box = row.get_by_role("link", name="Bass mic").bounding_box()
    assert box is not None
    assert box["height"] >= TAP


def test_links_of_a_rig_stay_in_sight_and_open_what_is_folded(
    page: Page, live_server: Any, world: World
) -> None:
    sign_in(page, live_server.url, world)
    page.goto(at(live_server.url, world, "rigs:rig", world.rig.pk))
    links = page.get_by_role("navigation", name="On this page")
    page.locator("#why").scroll_into_view_if_needed()
    expect(links).to_be_in_viewport()
    songs = page.locator("#songs")
    expect(songs.get_by_role("link", name="The whole set")).to_be_hidden()
    link = links.get_by_role("link", name="Songs")
    link.click()
    expect(songs.get_by_role("link", name="The whole set")).to_be_visible()
    songs.locator("summary").click()
    expect(songs.get_by_role("link", name="The whole set")).to_be_hidden()
    link.click()  # the same address once more
    expect(songs.get_by_role("link", name="The whole set")).to_be_visible()
    bar, head = links.bounding_box(), songs.locator("summary").bounding_box()
    assert bar is not None
    assert head is not None
    assert head["y"] >= bar["height"] - 1, "The heading lies below the links."
    box = link.bounding_box()
    assert box is not None
    assert box["height"] >= TAP


def test_a_control_that_is_not_set_is_named_and_not_drawn(
    page: Page, live_server: Any, world: World
) -> None:
    world.record(
        Add(
            "00000000-0000-4000-8000-0000000000c2",
            "control",
            {"unit": str(world.unit.pk), "name": "Presence", "style": "clock", "setting": ""},
        )
    )
    sign_in(page, live_server.url, world)
    page.goto(at(live_server.url, world, "rigs:rig", world.rig.pk))
    card = page.locator(".unit-card").first
    expect(card).to_contain_text("Not set: Presence")
    expect(card.locator(".dial", has_text="Presence")).to_have_count(0)


def test_ten_minutes_begin_with_the_players_below_one_line_of_cautions(
    page: Page, live_server: Any, world: World
) -> None:
    today = date.today()
    leg = Leg.objects.create(
        production=world.production, name="Winter", starts_on=today, ends_on=today
    )
    Handover.objects.create(leg=leg, cautions="Loose step.", opening="Walk the room.")
    made = publish(leg=leg, by=world.engineer)
    sign_in(page, live_server.url, world)
    page.goto(f"{live_server.url}{made.get_absolute_url()}?for=all")
    sections = page.locator(".handover-section")
    expect(sections.first).to_have_id(f"player-{world.player.pk}")
    expect(sections.last).to_have_id("general")
    step = page.get_by_text("Loose step.")
    expect(step).to_be_hidden()
    page.emulate_media(media="print")
    expect(step).to_be_visible()
    page.emulate_media(media="screen")
    sections.first.get_by_role("link", name="Cautions").first.click()
    expect(step).to_be_visible()
    page.goto(f"{live_server.url}{made.get_absolute_url()}?for=all&long")
    expect(sections.first).to_have_id("general")
    expect(step).to_be_visible()
