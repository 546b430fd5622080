"""Two people tick one changeover off, and each sees on an open page what the other pressed."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect

from tests.support.live_place import Place
from tests.support.own_process import own_database

pytestmark = [pytest.mark.browser, pytest.mark.each_database]
SET_UP = """
from datetime import date
from uuid import uuid4
from core.models import Leg, Production, Show, User
from rigs.changeover.services import change
from rigs.changeover.state import Plan, Step
leg = Leg.objects.create(production=Production.objects.get(), name="Fields",
                         starts_on=date(2026, 9, 1), ends_on=date(2026, 9, 9))
show = Show.objects.create(leg=leg, held_on=date(2026, 9, 4), room="Meadow stage")
rows = (("strike", "Carpet off", "Bo", 180), ("set", "Drum riser on", "Bo", 240),
        ("set", "Amps on their marks", "Cy", 300))
steps = [Step(str(uuid4()), part, words, who=who, planned_s=s) for part, words, who, s in rows]
change(show, Plan(tuple(steps), 1200), base=0, by=User.objects.get(pk="{tech_id}"))
print(json.dumps(str(show.pk)))
"""


@pytest.fixture
def place(tmp_path_factory: pytest.TempPathFactory, django_db_setup: None) -> Iterator[Place]:
    with own_database(tmp_path_factory.mktemp("changeover")) as environment:
        found = Place(environment)
        yield found
        found.stop()


def open_changeover(browser: Browser, place: Place, who: str, show: str) -> Page:
    context = browser.new_context(viewport={"width": 390, "height": 844}, service_workers="block")
    name, _, value = place.known[who].partition("=")
    base = f"http://127.0.0.1:{place.port}"
    context.add_cookies([{"name": name, "value": value, "url": base}])
    page = context.new_page()
    page.goto(f"{base}/p/{place.known['production']}/shows/{show}/changeover/")
    page.wait_for_selector("[data-live][data-state=open]", state="attached")
    return page


def test_two_pages_tick_and_both_see_it(browser: Browser, place: Place) -> None:
    show = place.run(SET_UP.format(**place.known))
    names = place.known["names"]
    first, second = (open_changeover(browser, place, who, show) for who in ("crew", "tech"))
    first.get_by_role("button", name=re.compile("^Start$")).click()
    clock = second.locator("[data-clock]")
    expect(clock).to_contain_text(f"by {names['crew']}")
    expect(clock.locator("[data-clock-left]")).to_have_text(re.compile("^19:[0-5]"))
    first.wait_for_selector("[data-live][data-state=open]", state="attached")
    for presser, watcher, who, words in (
        (first, second, "crew", "Carpet off"),
        (second, first, "tech", "Amps on their marks"),
    ):
        presser.get_by_role("button", name=re.compile(f"^Done ?: {words}$")).click()
        row = watcher.locator("[data-step]", has_text=words)
        expect(row).to_have_class(re.compile("is-done"))
        expect(row).to_contain_text(names[who])
        expect(row.get_by_role("button", name=re.compile("^Open again"))).to_be_visible()
        presser.wait_for_selector("[data-live][data-state=open]", state="attached")
    expect(first.locator("[data-done]")).to_have_text("2")
    expect(first.locator("[data-clock-todo]")).to_have_text("4:00")
    first.locator("[data-step]", has_text="Carpet off").get_by_role("button").click()
    expect(second.locator("[data-step]", has_text="Carpet off")).not_to_have_class(
        re.compile("is-done")
    )
    # After a reload the clock goes on where it stands.
    first.reload()
    expect(first.locator("[data-clock-left]")).to_have_text(re.compile("^1[89]:"))
    found = Axe().run(first)
    assert found.violations_count == 0, found.generate_report()
    assert first.evaluate("document.documentElement.scrollWidth") == 390
    for page in (first, second):
        page.context.close()
