"""A line check without a server: marked, explained, kept over a restart, sent once, disputed."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from playwright.sync_api import Page, Playwright, expect

from tests.support.phones import Stage, badge, check_page, go, path_of, phone_of, wait_until_sent
from tests.support.server_process import HOLD_ANSWER

pytestmark = pytest.mark.browser
SET_UP = """
from datetime import date
from core.models import Leg, Show, User
from rigs.models import Rig
from rigs.changes.edits import Add
from rigs.changes.reasons import Reason, ReasonKind
from rigs.revisions.record import record
show = Show.objects.create(leg=Leg.objects.get(), held_on=date.today(), room="Cellar")
rig = Rig.objects.get(pk="{rig}")
record(rig, [Add(part, "input", {{"name": name, "number": number}})
             for part, name, number in {inputs}],
       author=User.objects.first(), base=rig.head_number, reason=Reason(ReasonKind.ROOM, "More."))
print(json.dumps(str(show.pk)))
"""
ELSE = """
from core.models import Show, User
from notes.linecheck.services import mark
from rigs.models import Input
entry, tech = Input.objects.get(pk="{input}"), User.objects.get(pk="{tech}")
mark(Show.objects.get(), entry, state="ok", by=tech)
print("null")
"""
FOUND = """
from core.models import DoneRequest
from notes.models import LineCheckMark
marks = LineCheckMark.objects.select_related("input", "by").order_by("input__number")
print(json.dumps({
    "marks": [[m.input.name, m.state, m.words, str(m.by.pk), m.version] for m in marks],
    "done": DoneRequest.objects.count(),
}))
"""


def set_up(stage: Stage) -> tuple[str, dict[str, str]]:
    """The address of the line check, and the inputs beside the bass microphone by name."""
    inputs = {"Kick": str(uuid4()), "Snare": str(uuid4())}
    rows = [[inputs["Kick"], "Kick", 1], [inputs["Snare"], "Snare", 12]]
    show = stage.server.run(SET_UP.format(rig=stage.world["rig"], inputs=json.dumps(rows)))
    return f"{stage.world['place']}/shows/{show}/line-check/", inputs


def press(page: Page, name: str, state: str) -> None:
    with page.expect_navigation():
        page.locator("li.line", has_text=name).locator(f"button.line-{state}").click()


def test_it_waits_over_a_restart_goes_up_once_and_a_dispute_comes_back_to_its_author(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    check, inputs = set_up(stage)
    me, other = stage.world["users"]["crew"], stage.world["users"]["tech"]
    with phone_of(playwright, tmp_path / "phone", stage, "crew") as (phone, page):
        stage.server.stop()
        go(page, stage, check)
        press(page, "Kick", "ok")
        expect(page.locator("li.line:target")).to_contain_text("Bass mic")  # the thumb goes on
        press(page, "Bass mic", "deviates")
        press(page, "Snare", "absent")
        expect(page.locator(".line-progress")).to_contain_text("3 more to be sent")
        expect(page.get_by_text("waits to be sent")).to_have_count(3)
        expect(badge(page)).to_contain_text("3")
        check_page(page)
        with page.expect_navigation():
            page.get_by_role(
                "link", name=re.compile("Say what changed and why ?: Bass mic")
            ).click()
        page.get_by_label("the room", exact=True).check()
        page.get_by_label("in a few words").fill("A pillar stands there.")
        with page.expect_navigation():
            page.get_by_role("button", name="Save", exact=True).click()
        assert path_of(page) == "/waiting/"

        phone.close()
        page = phone.open()  # the server is still gone
        go(page, stage, "/waiting/")
        waiting = page.locator("[data-waiting-list] > li")
        expect(waiting).to_have_count(4)
        expect(waiting.last).to_contain_text("A pillar stands there.")

        # Before the service is back: a browser may send what waits without being asked.
        stage.server.run(ELSE.format(input=inputs["Snare"], tech=other))
        stage.server.start()
        go(page, stage, "/waiting/")
        wait_until_sent(page, 3)
        needing = waiting.filter(has=page.locator(".badge-bad:visible"))
        expect(needing).to_contain_text("Line check: Snare, not used")
        expect(needing).to_contain_text("Somebody else changed the same thing meanwhile")
        found: Any = stage.server.run(FOUND)
        assert found["marks"] == [
            ["Kick", "ok", "", me, 1],
            ["Bass mic", "deviates", "A pillar stands there.", me, 2],
            ["Snare", "ok", "", other, 1],
        ]
        assert found["done"] == 3

        with page.expect_navigation():
            needing.get_by_role("button", name="Open it").click()
        clash = page.locator(".clash")
        expect(clash).to_contain_text("Someone else marked “12 Snare” meanwhile")
        expect(clash).to_contain_text("tech")
        check_page(page)
        with page.expect_navigation():
            clash.get_by_role("button", name="Keep mine: not used").click()
        assert stage.server.run(FOUND)["marks"][2][1:4] == ["absent", "", me]
        go(page, stage, "/waiting/")
        wait_until_sent(page, 4)
        expect(badge(page)).to_be_hidden()


def test_a_press_whose_answer_never_came_counts_once_and_a_dispute_may_be_let_go(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    check, inputs = set_up(stage)
    me, other = stage.world["users"]["crew"], stage.world["users"]["tech"]
    with phone_of(playwright, tmp_path / "phone", stage, "crew") as (_, page):
        go(page, stage, check)
        stage.server.hold(HOLD_ANSWER)
        kick = page.locator("li.line", has_text="Kick")
        kick.locator("button.line-ok").click(no_wait_after=True)
        stage.server.wait_until_held()
        stage.server.stop()  # done and on record, but nobody heard of it
        expect(kick.get_by_text("waits to be sent")).to_be_visible()
        press(page, "Snare", "absent")
        stage.server.let_go()
        # Before the service is back: a browser may send what waits without being asked.
        stage.server.run(ELSE.format(input=inputs["Snare"], tech=other))
        stage.server.start()
        go(page, stage, "/waiting/")
        wait_until_sent(page, 1)
        found: Any = stage.server.run(FOUND)
        assert found["marks"] == [["Kick", "ok", "", me, 1], ["Snare", "ok", "", other, 1]]
        assert found["done"] == 1
        with page.expect_navigation():
            page.get_by_role("button", name="Open it").click()
        # A page that is being left need not get anything done any more: its scripts have no part.
        page.evaluate("addEventListener('click', (event) => event.stopPropagation(), true)")
        with page.expect_navigation():
            page.get_by_role("link", name="Keep theirs: ok").click()
        assert path_of(page) == check
        expect(badge(page)).to_be_hidden()
        assert stage.server.run(FOUND)["marks"] == found["marks"]
