"""The first minutes of a new server on a phone: the set-up link, then what to do first."""

from __future__ import annotations

from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from core.services import first_person

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

SIDEWAYS = "() => document.documentElement.scrollWidth - document.documentElement.clientWidth"


def is_fit(page: Page) -> None:
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()
    assert page.evaluate(SIDEWAYS) <= 0


@pytest.mark.parametrize(("width", "theme"), [(390, "dark"), (1280, "light")])
def test_from_the_link_to_the_first_rig(
    page: Page, live_server: Any, width: int, theme: str
) -> None:
    person = first_person.make_first_person(name="Tilda Marnock", email="tilda@marnock.example")
    link = live_server.url + first_person.make_link(person).path
    page.set_viewport_size({"width": width, "height": 844})
    page.context.add_cookies([{"name": "theme", "value": theme, "url": live_server.url}])
    page.goto(link)
    is_fit(page)
    page.get_by_role("textbox", name="Password").fill("a-long-stretch-of-cable")
    page.get_by_label("Name of the act").fill("Low Ferry")
    page.get_by_label("FOH engineer").check()
    page.get_by_role("button", name="Begin").click()
    expect(page.get_by_role("heading", name="First steps")).to_be_visible()
    is_fit(page)
    page.get_by_role("link", name="Add the players").click()
    page.get_by_label("Players, one a line").fill("Ines Varga, bass\nTam Okoro, guitar")
    page.get_by_role("button", name="Add them").click()
    page.wait_for_url("**/players/")
    page.get_by_role("link", name="Low Ferry").click()
    done = page.locator(".step.is-done")
    expect(done).to_have_count(1)
    expect(done).to_contain_text("Add the players")
    page.get_by_role("link", name="Put the first rig on file").click()
    expect(page.get_by_role("heading", name="Add a rig")).to_be_visible()
