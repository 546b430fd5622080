"""Without a network: read, write, wait, arrive once. The server is really stopped, and killed."""

from __future__ import annotations

import re
import time
from pathlib import Path

import pytest
from playwright.sync_api import Playwright, expect

from tests.support.phones import (
    Stage,
    badge,
    check_page,
    go,
    go_online,
    path_of,
    phone_of,
    turn_gain,
    wait_until_sent,
    write_note,
)
from tests.support.server_process import HOLD_ANSWER, HOLD_COMMIT, HOLD_PAGES

pytestmark = pytest.mark.browser


def test_read_write_wait_and_arrive_once(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (phone, page):
        stage.server.stop()
        phone.close()
        page = phone.open()
        go(page, stage, stage.handover)
        expect(page.locator("[data-kept-notice]")).to_contain_text("Stored ")
        expect(page.locator("[data-kept-notice]")).to_contain_text("The server cannot be reached")
        expect(page.locator("main")).to_contain_text("Warm, woody, no clank.")
        small = page.locator(".sheet-thumb img").first
        small.scroll_into_view_if_needed()
        assert small.evaluate("image => image.decode().then(() => image.naturalWidth)") > 0
        with page.expect_navigation():
            page.get_by_role("button", name="I have read this").first.click()
        assert path_of(page) == stage.handover  # nothing was typed: one reads on
        expect(page.get_by_text("waits to be sent")).to_be_visible()
        go(page, stage, "/waiting/")
        expect(page.locator("[data-waiting-list]")).to_contain_text("Read: Ines Halloran")

        go(page, stage, stage.rig)
        expect(page.locator("[data-part]")).to_have_count(0)  # its parts came from the store
        expect(page.locator("#findings")).to_contain_text("All findings of this rig")
        picture = page.locator(".photo img").first
        picture.scroll_into_view_if_needed()  # until then the browser does not ask for it
        assert picture.evaluate("image => image.decode().then(() => image.naturalWidth)") > 0
        whole = page.locator(".photo a").first.get_attribute("href")
        go(page, stage, str(whole))
        expect(page.locator("[data-kept-notice]")).to_be_visible()
        seen = "async () => { await document.images[0].decode(); return document.images[0].width }"
        assert page.evaluate(seen) > 200

        write_note(page, stage, "Wool, not wire.")
        expect(page.locator("[data-waiting-list]")).to_contain_text("Wool, not wire.")
        expect(badge(page)).to_contain_text("2")
        go(page, stage, stage.handover)
        expect(page.get_by_text("waits to be sent")).to_be_visible()

        go(page, stage, f"{stage.rig}history/")
        expect(page.locator("main")).to_contain_text("Not on this device")
        expect(page.locator("[data-kept-list]")).to_contain_text("Handover: Winter halls")

        phone.close()  # the queue outlives the browser
        stage.server.start()
        page = phone.open()
        go(page, stage, "/waiting/")
        wait_until_sent(page, 2)
        expect(badge(page)).to_be_hidden()
        found = stage.found()
        assert (found["notes"], found["read"], found["done"]) == (["Wool, not wire."], 1, 2)
        go_online(page, stage, stage.handover)


def test_two_tabs_send_the_same_queue_once(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (phone, page):
        stage.server.stop()
        for words in ("One.", "Two.", "Three."):
            write_note(page, stage, words)
        assert phone.context is not None
        other = phone.context.new_page()
        go(other, stage, "/waiting/")
        expect(other.locator("[data-waiting-list] > li")).to_have_count(3)
        stage.server.start()
        for tab in (page, other):
            tab.evaluate("document.querySelector('[data-waiting-send]').click()")
        wait_until_sent(page, 3)
        wait_until_sent(other, 3)
        assert stage.found()["notes"] == ["One.", "Three.", "Two."]


def test_a_form_sent_twice_is_carried_out_once(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    """Two presses of one open form are one request, whatever becomes of the first answer."""
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (_, page):
        go(page, stage, stage.note_form)
        page.get_by_label("What was said").fill("Once.")
        page.get_by_label("adjust").check()
        stage.server.hold(HOLD_ANSWER)
        page.evaluate("""() => {
            const form = document.querySelector('form[data-later]');
            const press = () => { form.dataset.once = ''; form.requestSubmit(); };
            setTimeout(press, 700);
            press();
        }""")
        stage.server.wait_until_held()
        time.sleep(1.5)  # both are on their way now
        stage.server.let_go()
        # Asked again and again: of the two ways there the first is given up for the second.
        expect(page).to_have_url(re.compile(r"/notes/[0-9a-f-]{36}/$"))
        found = stage.found()
        assert (found["notes"], found["done"]) == (["Once."], 1)


@pytest.mark.parametrize("moment", [HOLD_COMMIT, HOLD_ANSWER])
def test_killed_in_the_middle_it_arrives_once(
    playwright: Playwright, tmp_path: Path, stage: Stage, moment: str
) -> None:
    """Before the commit nothing was done; after it all was, though no answer came."""
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (_, page):
        go(page, stage, stage.note_form)
        page.get_by_label("What was said").fill("In the middle.")
        page.get_by_label("adjust").check()
        stage.server.hold(moment)
        page.get_by_role("button", name="Save the note").click(no_wait_after=True)
        stage.server.wait_until_held()
        stage.server.stop()
        page.wait_for_url("**/waiting/")
        stage.server.let_go()
        done = 0 if moment == HOLD_COMMIT else 1
        found = stage.found()
        assert (len(found["notes"]), found["done"]) == (done, done)
        stage.server.start()
        page.get_by_role("button", name="Send now").click()
        wait_until_sent(page, 1)
        found = stage.found()
        assert (found["notes"], found["done"]) == (["In the middle."], 1)


def test_two_devices_return_and_nothing_is_lost(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    """Notes of both arrive. Both turned one knob: the second sees both values and decides."""
    with phone_of(playwright, tmp_path / "one", stage, "tech") as (one, page):
        one_context = one.context
        assert one_context is not None
        with phone_of(playwright, tmp_path / "two", stage, "engineer") as (_, other):
            stage.server.stop()
            write_note(page, stage, "From the stage.")
            write_note(other, stage, "From the mix.")
            turn_gain(page, stage, "4:00")
            turn_gain(other, stage, "9:00")
            stage.server.start()
            go(page, stage, "/waiting/")
            wait_until_sent(page, 2)
            go(other, stage, "/waiting/")
            needing = other.locator("[data-waiting-list] > li", has_text="needs you")
            needing = needing.filter(has=other.locator(".badge-bad:visible"))
            expect(needing).to_have_count(1)
            expect(needing).to_contain_text("Somebody else changed the same thing meanwhile")
            expect(needing).to_contain_text("9:00")
            assert stage.found()["notes"] == ["From the mix.", "From the stage."]
            assert stage.server.run(SETTINGS) == ["4:00"]

            with other.expect_navigation():
                needing.get_by_role("button", name="Open it").click()
            expect(other.locator("main")).to_contain_text("9:00")
            expect(other.locator("main")).to_contain_text("4:00")
            other.locator("label", has_text="9:00").first.click()
            with other.expect_navigation():
                other.locator("form[data-replaces] button.button-primary").click()
            assert stage.server.run(SETTINGS) == ["9:00"]
            go(other, stage, "/waiting/")
            wait_until_sent(other, 2)
            expect(badge(other)).to_be_hidden()


SETTINGS = """
from rigs.models import Control
print(json.dumps(list(Control.objects.values_list("setting", flat=True))))
"""


def test_two_devices_turn_two_knobs_and_both_stay(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    """What does not touch is merged, on the state that each device knew."""
    stage.server.run(LEVEL.format(**stage.world))
    with (
        phone_of(playwright, tmp_path / "one", stage, "tech") as (_, page),
        phone_of(playwright, tmp_path / "two", stage, "engineer") as (_, other),
    ):
        stage.server.stop()
        for device, name, setting in ((page, "Gain", "4:00"), (other, "Level", "7")):
            go(device, stage, f"{stage.rig}units/{stage.world['unit']}/")
            device.get_by_role("textbox", name=name).fill(setting)
            with device.expect_navigation():
                device.get_by_role("button", name="Save the settings").click()
        stage.server.start()
        for device in (page, other):
            go(device, stage, "/waiting/")
            wait_until_sent(device, 1)
        assert sorted(stage.server.run(SETTINGS)) == ["4:00", "7"]


LEVEL = """
from uuid import uuid4
from core.models import User
from rigs.models import Rig
from rigs.changes.edits import Add
from rigs.revisions.record import record
rig = Rig.objects.get(pk="{rig}")
level = {{"unit": "{unit}", "name": "Level", "style": "dial", "setting": "5", "position": 2}}
add = Add(str(uuid4()), "control", level)
record(rig, [add], author=User.objects.first(), base=rig.head_number)
print("null")
"""


def test_what_is_kept_and_what_waits_are_accessible(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (_, page):
        said: list[str] = []
        page.on("pageerror", lambda error: said.append(str(error)))
        go(page, stage, "/kept/")
        row = page.locator("[data-kept-list] > li")
        expect(row).to_contain_text("Handover: Winter halls")
        expect(row).to_contain_text("Stored a moment ago")
        check_page(page)
        stage.server.stop()
        write_note(page, stage, "A word " * 40)
        check_page(page)
        go(page, stage, "/nowhere/")
        check_page(page)
        go(page, stage, stage.handover)
        check_page(page)
        go(page, stage, "/kept/")
        row.locator("summary").click()
        expect(row).to_contain_text("Sound in full")
        row.get_by_role("button", name="Remove from this device").click()
        expect(row).to_have_count(0)
        go(page, stage, stage.handover)
        expect(page.locator("main")).to_contain_text("Not on this device")
        assert said == []


def test_a_slow_network_is_not_waited_for(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (_, page):
        stage.server.hold(HOLD_PAGES)
        begun = time.monotonic()
        go(page, stage, stage.rig)
        assert time.monotonic() - begun < 20
        expect(page.locator("[data-kept-notice]")).to_contain_text("The network is slow")
        stage.server.let_go()


def test_it_can_be_installed(playwright: Playwright, tmp_path: Path, stage: Stage) -> None:
    """Chromium's own check of the manifest and its pictures."""
    with phone_of(playwright, tmp_path / "phone", stage, "tech") as (_, page):
        session = page.context.new_cdp_session(page)
        assert session.send("Page.getInstallabilityErrors")["installabilityErrors"] == []
        assert session.send("Page.getAppManifest")["errors"] == []


SHOW = """
from datetime import date
from core.models import Leg, Show
show = Show.objects.create(leg=Leg.objects.get(), held_on=date.today(), room="Cellar")
print(json.dumps(str(show.pk)))
"""
MARKS = """
from notes.models import LineCheckMark
print(json.dumps(list(LineCheckMark.objects.values_list("state", flat=True))))
"""


def test_a_line_check_goes_on_without_a_network(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    """One press after the other; who thinks again before it is sent has said the last only."""
    show = stage.server.run(SHOW)
    with phone_of(playwright, tmp_path / "phone", stage, "crew") as (_, page):
        stage.server.stop()
        check = f"{stage.world['place']}/shows/{show}/line-check/"
        go(page, stage, check)
        for state in ("ok", "absent"):
            with page.expect_navigation():
                page.locator(f".line-{state}").first.click()
            assert path_of(page) == check
            expect(page.get_by_text("waits to be sent")).to_have_count(1)
        stage.server.start()
        go(page, stage, "/waiting/")
        wait_until_sent(page, 1)
        assert stage.server.run(MARKS) == ["absent"]
