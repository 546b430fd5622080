"""Without a network an address shows what it says, or that it is not on this device."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Playwright, expect

from tests.support.phones import NO_PAGES, Stage, go, path_of, phone_of, wait_until, wait_until_sent

pytestmark = pytest.mark.browser

SHOWS = """
from datetime import date, timedelta
from core.models import Leg, Show
leg = Leg.objects.get()
made = [Show.objects.create(leg=leg, held_on=date.today() + timedelta(days), room=room)
        for days, room in ((1, "Cellar"), (-9, "Old Foundry"))]
print(json.dumps([str(show.pk) for show in made]))
"""
INPUT = """
from rigs.models import Input
print(json.dumps(str(Input.objects.get(name="Bass mic").pk)))
"""
ABOUT = """
from notes.models import Note
print(json.dumps([[note.words, [each.name for each in note.inputs.all()]]
                  for note in Note.objects.all()]))
"""
PACK = """
from core.models import User
from rigs.changes.edits import Set
from rigs.models import Unit
from rigs.revisions.record import record
unit = Unit.objects.first()
edit = Set(str(unit.pk), "unit", {"packed_in": "Case 3, bass"})
record(unit.rig, [edit], author=User.objects.first(), base=unit.rig.head_number)
print("null")
"""
END_SESSIONS = """
from core.models import LogIn
LogIn.objects.all().delete()
print("null")
"""


def test_a_run_sheet_is_of_the_show_that_its_address_names(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    coming, gone = stage.server.run(SHOWS)
    with phone_of(playwright, tmp_path / "phone", stage, "crew") as (_, page):
        stage.server.stop()
        sheet = f"{stage.world['place']}/run/"
        go(page, stage, f"{sheet}?show={coming}")
        expect(page.locator("main")).to_contain_text("Cellar")
        for query in (f"?show={gone}", "", f"?show={coming}&player={coming}"):
            go(page, stage, sheet + query)
            expect(page.get_by_role("heading", level=1)).to_have_text("Not on this device")
            expect(page.locator("main")).not_to_contain_text("Kick")
        expect(page.locator("[data-kept-list]")).to_contain_text("Winter halls")


def test_lists_and_states_of_a_kept_page_are_not_that_page(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (_, page):
        stage.server.stop()
        for address in (
            f"{stage.rig}?at=1",
            f"{stage.handover}?for=tech",
            f"{stage.note_form}?because=1",
        ):
            go(page, stage, address)
            expect(page.get_by_role("heading", level=1)).to_have_text("Not on this device")


def test_the_label_of_a_case_leads_to_what_is_in_it(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    """As the label has its address, and as a link of a page has it."""
    stage.server.run(PACK)
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (_, page):
        stage.server.stop()
        for query in ("?name=Case+3%2C+bass", "?name=Case%203%2C%20bass"):
            go(page, stage, f"{stage.world['place']}/case/{query}")
            expect(page.get_by_role("heading", level=1)).to_have_text("Case 3, bass")
        go(page, stage, f"{stage.world['place']}/case/?name=Case+4")
        expect(page.get_by_role("heading", level=1)).to_have_text("Not on this device")


def test_a_note_from_the_page_of_an_input_keeps_its_input(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    entry = stage.server.run(INPUT)
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (_, page):
        stage.server.stop()
        go(page, stage, f"{stage.rig}inputs/{entry}/")
        page.locator(".thumb-button").click()
        expect(page.get_by_label("Bass mic")).to_be_checked()
        expect(page.locator("[data-prefill-missing]")).to_be_hidden()
        page.get_by_label("What was said").fill("Wool.")
        page.get_by_label("adjust").check()
        with page.expect_navigation():
            page.get_by_role("button", name="Save the note").click()
        go(page, stage, f"{stage.note_form}?input={stage.world['rig']}")
        expect(page.locator("[data-prefill-missing]")).to_be_visible()
        stage.server.start()
        go(page, stage, "/waiting/")
        wait_until_sent(page, 1)
        assert stage.server.run(ABOUT) == [["Wool.", ["Bass mic"]]]


@pytest.mark.parametrize("address", ["/account/", "/login/", "/nowhere/", "/admin/", "script"])
def test_a_session_ended_elsewhere_clears_at_the_next_contact_whatever_the_address(
    playwright: Playwright, tmp_path: Path, stage: Stage, address: str
) -> None:
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (_, page):
        stage.server.run(END_SESSIONS)
        if address == "script":  # what a page fetches by itself
            page.evaluate(f"fetch('{stage.rig}').then(() => true)")
        else:
            go(page, stage, address)
        wait_until(page, NO_PAGES)
        stage.server.stop()
        with pytest.raises(Exception, match="ERR_"):
            go(page, stage, stage.rig)
        assert path_of(page) != stage.rig
