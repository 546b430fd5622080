"""A changeover ticked off without a server: kept over a restart, sent once, with others ticking."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, Playwright, expect

from tests.support.phones import (
    Stage,
    badge,
    check_page,
    go,
    let_time_go_by,
    phone_of,
    wait_until_sent,
)
from tests.support.server_process import HOLD_ANSWER

pytestmark = pytest.mark.browser
SET_UP = """
from datetime import date
from uuid import uuid4
from core.models import Leg, Show, User
from rigs.changeover.services import change
from rigs.changeover.state import Plan, Step
show = Show.objects.create(leg=Leg.objects.get(), held_on=date.today(), room="Meadow stage")
rows = (("strike", "Carpet off"), ("set", "Drum riser on"), ("set", "Amps on their marks"))
steps = [Step(str(uuid4()), part, words, planned_s=60) for part, words in rows]
change(show, Plan(tuple(steps), 1200), base=0, by=User.objects.first())
print(json.dumps(str(show.pk)))
"""
ELSE = """
from core.models import Show, User
from rigs.changeover.services import mark_step
from rigs.models import ChangeoverStep
step = ChangeoverStep.objects.get(words="Amps on their marks")
for what in ("done", "open"):
    mark_step(Show.objects.get(), step.pk, what, by=User.objects.get(pk="{tech}"))
print("null")
"""
FOUND = """
from core.models import DoneRequest
from rigs.models import ChangeoverMark
marks = ChangeoverMark.objects.select_related("step", "by").order_by("step__position", "pk")
print(json.dumps({
    "marks": sorted([m.step.words, m.what, str(m.by.pk), m.arrived_at is not None] for m in marks),
    "done": DoneRequest.objects.count(),
}))
"""


def press_done(page: Page, words: str) -> None:
    with page.expect_navigation():
        page.locator("li.turn", has_text=words).get_by_role("button", name="Done").click()


def test_a_tick_without_a_server_comes_back_exactly_once(
    playwright: Playwright, tmp_path: Path, stage: Stage
) -> None:
    show = stage.server.run(SET_UP)
    changeover = f"{stage.world['place']}/shows/{show}/changeover/"
    me, other = stage.world["users"]["crew"], stage.world["users"]["tech"]
    with phone_of(playwright, tmp_path / "phone", stage, "crew") as (phone, page):
        go(page, stage, changeover)
        # Done and on record, but nobody on this side heard of it.
        stage.server.hold(HOLD_ANSWER)
        carpet = page.locator("li.turn", has_text="Carpet off")
        carpet.get_by_role("button", name="Done").click(no_wait_after=True)
        stage.server.wait_until_held()
        stage.server.stop()
        expect(carpet.get_by_text("waits to be sent")).to_be_visible()
        press_done(page, "Drum riser on")
        press_done(page, "Amps on their marks")
        expect(page.get_by_text("waits to be sent")).to_have_count(3)
        expect(badge(page)).to_contain_text("3")
        check_page(page)
        # Seconds in the network are no waiting, and a quick machine needs no more for all of this.
        let_time_go_by(page, stage, minutes=2)
        phone.close()

        page = phone.open()  # the server is still gone
        stage.server.let_go()
        # Before the service is back: a browser may send what waits without being asked.
        stage.server.run(ELSE.format(tech=other))
        stage.server.start()
        go(page, stage, "/waiting/")
        wait_until_sent(page, 3)
        expect(badge(page)).to_be_hidden()
        found: Any = stage.server.run(FOUND)
        assert found["marks"] == sorted(
            [
                ["Carpet off", "done", me, False],
                ["Drum riser on", "done", me, True],
                ["Amps on their marks", "done", me, True],
                ["Amps on their marks", "done", other, False],
                ["Amps on their marks", "open", other, False],
            ]
        )
        assert found["done"] == 3
        go(page, stage, changeover)
        expect(page.locator("li.turn.is-done")).to_have_count(2)
        # It was opened again after this press had been made, so that holds.
        expect(page.locator("li.turn", has_text="Amps on their marks")).not_to_have_class(
            "turn is-done"
        )
