"""Inputs are put in order by finger and by keyboard on a phone; no number is lost, gaps stay."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest
from django.urls import reverse
from playwright.sync_api import Page, expect

from rigs.changes.edits import Add
from rigs.models import Input
from tests.rigs.shows.shows import make_show
from tests.support.pages import as_user
from tests.support.world import World, make_world

pytestmark = pytest.mark.browser


@pytest.fixture
def browser_context_args(browser_context_args: dict[str, Any]) -> dict[str, Any]:
    return {**browser_context_args, "viewport": {"width": 390, "height": 844}, "has_touch": True}


@pytest.fixture
def world(transactional_db: None) -> World:
    """Channels 7, 8, 10 (a gap) and one without."""
    world = make_world()
    world.record(
        *(
            Add(str(uuid4()), "input", {"name": name, "number": number})
            for name, number in (("Bass DI", 8), ("Bass room", 10), ("Bass spare", None))
        )
    )
    return world


@pytest.fixture
def numbering(world: World, live_server: Any, page: Page) -> Page:
    log_in(page, world, live_server)
    page.goto(f"{live_server}{reverse('rigs:input_numbers', args=[world.production.pk])}")
    return page


def log_in(page: Page, world: World, live_server: Any) -> None:
    session = as_user(world.tech).cookies["sessionid"].value
    page.context.add_cookies([{"name": "sessionid", "value": session, "url": str(live_server)}])


READ = "row => [row.dataset.name.split(',')[0], row.querySelector('input').value]"


def rows(page: Page) -> list[tuple[str, str]]:
    found = page.locator(".numbering-row").evaluate_all(f"rows => rows.map({READ})")
    return [(name, number) for name, number in found]


def sideways(page: Page) -> int:
    return int(page.evaluate("document.documentElement.scrollWidth - window.innerWidth"))


def test_arrow_keys_move_a_row_and_say_so(numbering: Page) -> None:
    handle = numbering.get_by_role("button", name="Move Bass mic")
    handle.focus()
    numbering.keyboard.press("ArrowDown")
    numbering.keyboard.press("ArrowDown")
    expect(handle).to_be_focused()
    expect(numbering.locator("[data-renumber-said]")).to_have_text(
        "Bass mic, Ines Halloran: channel 10, place 3 of 4"
    )
    assert rows(numbering) == [
        ("Bass DI", "7"),
        ("Bass room", "8"),
        ("Bass mic", "10"),
        ("Bass spare", ""),
    ]
    numbering.keyboard.press("Home")
    assert rows(numbering)[0] == ("Bass mic", "7")
    numbering.keyboard.press("End")
    assert rows(numbering)[-1] == ("Bass mic", "")
    numbering.get_by_role("button", name="Save the numbers").click()
    expect(numbering.get_by_text("Numbered.")).to_be_visible()
    assert dict(Input.objects.values_list("name", "number")) == {
        "Bass DI": 7,
        "Bass room": 8,
        "Bass spare": 10,
        "Bass mic": None,
    }


def middle(page: Page, at: int, part: str = "") -> tuple[float, float]:
    box = page.locator(f".numbering-row:nth-child({at}) {part}").bounding_box()
    assert box is not None
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def test_a_finger_drags_a_row(numbering: Page) -> None:
    page = numbering
    touch = page.context.new_cdp_session(page)
    x, y = middle(page, 1, ".numbering-handle")
    to = middle(page, 3)[1] + 8

    def send(kind: str, *points: tuple[float, float]) -> None:
        found = [{"x": px, "y": py} for px, py in points]
        touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": found})

    send("touchStart", (x, y))
    for part in range(1, 11):
        send("touchMove", (x, y + (to - y) * part / 10))
        page.wait_for_timeout(30)
    send("touchEnd")
    expect(page.locator(".is-held")).to_have_count(0)
    assert rows(page) == [
        ("Bass DI", "7"),
        ("Bass room", "8"),
        ("Bass mic", "10"),
        ("Bass spare", ""),
    ]
    assert sideways(page) == 0


def test_a_mouse_drags_and_escape_puts_back(numbering: Page) -> None:
    page = numbering
    before = rows(page)
    page.mouse.move(*middle(page, 1, ".numbering-handle"))
    page.mouse.down()
    page.mouse.move(*middle(page, 4), steps=6)
    expect(page.locator(".numbering-row").nth(1)).not_to_contain_text(before[1][0])
    page.keyboard.press("Escape")
    page.mouse.up()
    assert rows(page) == before


def test_an_error_keeps_what_was_arranged(numbering: Page) -> None:
    numbering.get_by_role("button", name="Move Bass mic").press("ArrowDown")
    numbering.get_by_label("Channel of Bass spare").fill("0")
    numbering.get_by_role("button", name="Save the numbers").click()
    expect(numbering.locator(".has-error")).to_have_count(1)
    assert rows(numbering) == [
        ("Bass DI", "7"),
        ("Bass mic", "8"),
        ("Bass room", "10"),
        ("Bass spare", "0"),
    ]


def test_the_list_of_a_show_fits_a_phone(world: World, live_server: Any, page: Page) -> None:
    show = make_show(world, "A room with a very long name on the edge of town")
    log_in(page, world, live_server)
    page.goto(f"{live_server}{reverse('rigs:show_inputs', args=[world.production.pk, show.pk])}")
    page.locator("tr", has_text="Bass mic").get_by_role("link", name="Change for this show").click()
    page.get_by_label("Microphone or DI instead").select_option("Corvane Eskvane 4")
    page.get_by_label("Why").select_option("something failed")
    page.get_by_label("In a few words").fill("Ours fell over.")
    page.get_by_role("button", name="Save").click()
    expect(page.locator("del", has_text="Corvane Hollow 2")).to_be_visible()
    expect(page.locator("ins", has_text="Corvane Eskvane 4")).to_be_visible()
    assert sideways(page) == 0
