"""From an empty production to rigs with inputs by the spreadsheet that a crew has, on a phone."""

from __future__ import annotations

import gzip
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from core.models import Membership, Player, Production
from core.models.roles import Role
from rigs.models import Device, Input, Rig
from tests.rigs.list_import.crews.build import data_of
from tests.rigs.list_import.crews.meant import CREWS
from tests.support.pages import as_user
from tests.support.world import make_user

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

SIDEWAYS = "() => document.documentElement.scrollWidth - document.documentElement.clientWidth"


def is_fit(page: Page) -> None:
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()
    assert page.evaluate(SIDEWAYS) <= 0


@pytest.mark.parametrize(
    ("width", "theme", "script"), [(390, "dark", True), (360, "dark", False), (1280, "light", True)]
)
def test_from_nothing_to_rigs_with_inputs(
    browser: Any, live_server: Any, width: int, theme: str, script: bool
) -> None:
    place = Production.objects.create(name="Low Ferry")
    engineer = make_user("Tilda Marnock")
    Membership.objects.create(production=place, user=engineer, role=Role.ENGINEER)
    crew = CREWS[1]
    size: Any = {"width": width, "height": 844}
    context = browser.new_context(viewport=size, java_script_enabled=script)
    cookie = as_user(engineer).cookies["sessionid"].value
    context.add_cookies(
        [
            {"name": "sessionid", "value": cookie, "url": live_server.url},
            {"name": "theme", "value": theme, "url": live_server.url},
        ]
    )
    page = context.new_page()
    page.goto(live_server.url + place.get_absolute_url())
    page.get_by_role("link", name="Begin with the input list you have").click()
    file: Any = {"name": crew.file, "mimeType": "text/csv", "buffer": data_of(crew)}
    page.get_by_label("Input list").set_input_files(file)
    page.get_by_role("button", name="Look at its rows").click()
    expect(page.get_by_role("heading", name="What the list would change")).to_be_visible()
    assert len(gzip.compress(page.content().encode())) < 100_000
    if script:
        is_fit(page)
    # Two cells say that a filter is in, and not at what frequency; one is mended.
    expect(page.get_by_text("“in” is not a frequency in Hz.").first).to_be_visible()
    page.get_by_label("HPF, Hz").first.fill("150")
    page.get_by_label("Player", exact=True).first.fill("Joost")
    page.get_by_role("button", name="Read the rows again").click()
    expect(page.get_by_label("Player", exact=True).first).to_have_value("Joost")
    expect(page.get_by_label("HPF, Hz")).to_have_count(1)
    assert not Rig.objects.exists()
    page.get_by_role("button", name="Import 10 inputs").click()
    expect(page.get_by_text("Imported: 3 rigs made.")).to_be_visible()
    assert list(Player.objects.values_list("name", flat=True)) == ["Joost", "Mårten", "Élodie"]
    assert Input.objects.count() == 10
    assert Input.objects.get(number=5).high_pass_hz == 150
    mic = Input.objects.get(number=7)
    assert (float(mic.distance_m), mic.reference_point) == (0.025, "grille")
    assert Device.objects.count() == 6
    context.close()
