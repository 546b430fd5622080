"""The pages of a line check: pressed, explained, finished, reported, made permanent."""

from __future__ import annotations

import re
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client

from core.access.policy import POLICY, Action
from core.models import Show
from core.models.roles import Role
from notes.linecheck.services import Deviation, mark
from notes.models import LineCheck, LineCheckMark
from rigs.changes.edits import Add
from rigs.models import Input, Revision, ShowInput
from rigs.shows.rigs import choose
from tests.rigs.shows.shows import make_show
from tests.support.pages import as_user, at, queries_of
from tests.support.rig_pages import Page
from tests.support.world import HIRE, World, make_device

FELL = {"why": "failure", "words": "Ours fell over at load-in."}


@pytest.fixture
def show(world: World) -> Show:
    return make_show(world)


@pytest.fixture
def crew(world: World) -> Client:
    return as_user(world.people[Role.CREW])


def press(client: Client, world: World, show: Show, state: str, seen: int = 0) -> Any:
    url = at(world, "notes:line_check_mark", show.pk, world.input.pk)
    return client.post(url, {"state": state, "seen": seen})


def many(world: World, count: int = 20) -> None:
    edits = [
        Add(
            str(uuid4()),
            "input",
            {"name": f"Input {n}", "number": n + 20, "device": str(world.mic.pk)},
        )
        for n in range(count)
    ]
    world.record(*edits, reason=HIRE)


def test_who_may_mark() -> None:
    assert POLICY[Action.LINE_CHECK] == {Role.ENGINEER, Role.MONITORS, Role.TECH, Role.CREW}


def test_every_input_has_three_presses_that_may_wait_for_a_network(
    world: World, show: Show, crew: Client
) -> None:
    html = Page(crew, at(world, "notes:line_check", show.pk)).html
    assert '<strong class="tabular">0 of 1</strong>' in html
    assert html.count('data-later="Line check: Bass mic') == 3
    for state in ("ok", "deviates", "absent"):
        assert f'name="state" value="{state}"' in html


@pytest.mark.parametrize("state", ["ok", "deviates", "absent"])
def test_a_press_marks_and_goes_on(world: World, show: Show, crew: Client, state: str) -> None:
    many(world, 1)
    following = Input.objects.get(number=20)
    response = press(crew, world, show, state)
    assert response.status_code == 302
    assert response.headers["Location"].endswith(f"line-check/#input-{following.pk}")
    assert LineCheckMark.objects.get().state == state
    html = Page(crew, at(world, "notes:line_check", show.pk)).html
    assert "1 of 2" in html
    # Where nothing deviates the way there is hidden, until a press waits for the network.
    why = re.search(rf'id="why-{world.input.pk}"[^>]*>', html)
    assert why is not None
    assert ("hidden" in why[0]) is (state == "ok")


@pytest.mark.parametrize("sent", [{}, {"state": "broken"}, {"state": "ok", "seen": "x"}])
def test_what_is_no_mark_is_refused(
    world: World, show: Show, crew: Client, sent: dict[str, str]
) -> None:
    url = at(world, "notes:line_check_mark", show.pk, world.input.pk)
    assert crew.post(url, sent).status_code == 400
    assert not LineCheck.objects.exists()


def test_a_press_on_what_somebody_else_marked_shows_both(
    world: World, show: Show, crew: Client
) -> None:
    mark(
        show,
        world.input,
        state="deviates",
        by=world.tech,
        difference=Deviation("room", "Cable by the riser."),
    )
    response = press(crew, world, show, "ok")
    assert response.status_code == 409
    html = response.content.decode()
    for said in ("Someone else marked", "Keep mine: ok", "Keep theirs: changed"):
        assert said in html
    # The one form that stands for what was pressed, so that the queue lets go of it.
    again = re.findall(r"<form\b[^>]*\bdata-again\b.*?</form>", html, re.DOTALL)
    assert len(again) == 1
    for name, value in (("state", "ok"), ("seen", "1")):
        assert f'name="{name}" value="{value}"' in again[0]
    assert "Cable by the riser." in response.content.decode()
    assert LineCheckMark.objects.get().state == "deviates"
    assert press(crew, world, show, "ok", seen=1).status_code == 302
    assert LineCheckMark.objects.get().state == "ok"


def test_a_substitute_is_typed_and_its_suitability_shown(
    world: World, show: Show, crew: Client
) -> None:
    page = Page(crew, at(world, "notes:line_check_input", show.pk, world.input.pk))
    assert "No signed sound" in page.html
    assert "The difference in level is not known" in page.html
    sent = page.send(state="deviates", device=world.other_mic.pk, hired="on", **FELL)
    assert sent.status == 302
    html = Page(crew, at(world, "notes:line_check", show.pk)).html
    for told in (
        "<del>Corvane Hollow 2</del>",
        "<ins>Corvane Eskvane 4</ins>",
        "The difference in level is not known",
        FELL["words"],
    ):
        assert told in html
    day = ShowInput.objects.get()
    assert (day.device, day.hired_locally) == (world.other_mic, True)


def test_what_cannot_be_keeps_what_was_typed(world: World, show: Show, crew: Client) -> None:
    page = Page(crew, at(world, "notes:line_check_input", show.pk, world.input.pk))
    again = page.send(state="absent", words="Not here.")
    assert again.status == 200
    assert again.sent["words"] == "Not here."
    assert not LineCheck.objects.exists()


def test_the_form_notices_somebody_else_s_mark(world: World, show: Show, crew: Client) -> None:
    page = Page(crew, at(world, "notes:line_check_input", show.pk, world.input.pk))
    mark(show, world.input, state="ok", by=world.tech)
    again = page.send(state="absent", **FELL)
    assert again.status == 409
    assert "Someone else marked" in again.html
    assert again.sent["words"] == FELL["words"]
    assert again.send().status == 302
    assert LineCheckMark.objects.get().state == "absent"


def test_from_the_first_press_to_the_report(world: World, show: Show, crew: Client) -> None:
    finish = at(world, "notes:line_check_finish", show.pk)
    assert crew.post(finish, {}).status_code == 302  # nothing is marked yet
    press(crew, world, show, "deviates")
    refused = Page(crew, finish).send(who_was_told="Ines.")
    assert "Say what changed and why first: 7 Bass mic" in refused.html
    assert refused.sent["who_was_told"] == "Ines."
    page = Page(crew, at(world, "notes:line_check_input", show.pk, world.input.pk))
    page.send(state="deviates", device=world.other_mic.pk, **FELL)
    page = Page(crew, finish)
    # What failed is what the list of repairs begins with.
    assert "Corvane Hollow 2 (7 Bass mic): Ours fell over" in page.sent["to_repair"]
    assert page.send(who_was_told="Ines, the monitor desk.").status == 302
    html = Page(crew, at(world, "notes:show_report", show.pk)).html
    for told in (
        "1 changed",
        "Ines, the monitor desk.",
        FELL["words"],
        "Something failed",
        "Corvane Hollow 2 (7 Bass mic)",
        "<ins>Corvane Eskvane 4</ins>",
    ):
        assert told in html
    assert "Make permanent" not in html  # not for the crew to do
    assert press(crew, world, show, "ok", 2).status_code == 409
    crew.post(at(world, "notes:line_check_reopen", show.pk))
    assert press(crew, world, show, "ok", 2).status_code == 302


def test_somebody_else_s_last_words_are_not_written_over(
    world: World, show: Show, crew: Client
) -> None:
    press(crew, world, show, "ok")
    finish = at(world, "notes:line_check_finish", show.pk)
    page = Page(crew, finish)
    Page(as_user(world.tech), finish).send(who_was_told="The hire firm.")
    again = page.send(who_was_told="Ines.")
    assert "Someone else changed this" in again.html
    assert again.sent["who_was_told"] == "Ines."


def test_make_this_permanent(world: World, show: Show) -> None:
    said = Deviation("hire", "Ours is in repair.", world.other_mic)
    mark(show, world.input, state="deviates", by=world.tech, difference=said)
    tech, count = as_user(world.tech), Revision.objects.count()
    assert "Make permanent" in Page(tech, at(world, "notes:show_report", show.pk)).html
    page = Page(tech, at(world, "notes:line_check_permanent", show.pk, world.input.pk))
    assert "hired in place of ours" in page.html
    assert "<ins>Corvane Eskvane 4</ins>" in page.html
    assert page.send(words="").status == 200
    assert Revision.objects.count() == count
    assert page.send(words="It stays.").status == 302
    made = Revision.objects.latest("number")
    assert Revision.objects.count() == count + 1
    assert (made.reason_kind, made.reason_words) == ("hire", "It stays.")
    assert "Made permanent: change" in Page(tech, at(world, "notes:show_report", show.pk)).html


def test_permanent_after_somebody_else_changed_it(world: World, show: Show) -> None:
    said = Deviation("hire", "Ours is in repair.", world.other_mic)
    mark(show, world.input, state="deviates", by=world.tech, difference=said)
    page = Page(
        as_user(world.tech), at(world, "notes:line_check_permanent", show.pk, world.input.pk)
    )
    world.swap(make_device(world.production, "Third"), reason=HIRE)
    again = page.send(words="It stays.")
    assert again.status == 409
    assert "Someone else changed this input meanwhile" in again.html
    assert "<del>Corvane Third</del>" in again.html
    assert again.send().status == 302


def test_the_crew_may_not_change_the_rig(world: World, show: Show, crew: Client) -> None:
    url = at(world, "notes:line_check_permanent", show.pk, world.input.pk)
    assert crew.get(url).status_code == 403
    assert (
        as_user(world.people[Role.PLAYER])
        .post(at(world, "notes:line_check_mark", show.pk, world.input.pk), {"state": "ok"})
        .status_code
        == 403
    )


@pytest.mark.parametrize("name", ["line_check", "show_report"])
def test_a_page_takes_as_many_queries_for_many_as_for_one(
    world: World, show: Show, crew: Client, name: str
) -> None:
    said = Deviation("hire", "Ours is in repair.", world.other_mic)
    mark(show, world.input, state="deviates", by=world.tech, difference=said)
    url = at(world, f"notes:{name}", show.pk)
    few = queries_of(crew, url)
    many(world)
    for entry in Input.objects.select_related("rig").filter(number__gte=20):
        mark(show, entry, state="deviates", by=world.tech, difference=said)
    assert queries_of(crew, url) == few


def test_the_page_of_a_leg_takes_as_many_queries_for_many_shows(
    world: World, show: Show, crew: Client
) -> None:
    mark(show, world.input, state="ok", by=world.tech)
    url = at(world, "core:leg", show.leg_id)
    few = queries_of(crew, url)
    for n in range(5):
        mark(make_show(world, f"Room {n}"), world.input, state="absent", by=world.tech)
    assert queries_of(crew, url) == few
    assert "1 of 1 marked" in crew.get(url).content.decode()


def test_the_end_can_be_opened_before_the_first_mark_but_not_sent(
    world: World, show: Show, crew: Client
) -> None:
    """A device keeps the form; the marks that wait go up before it."""
    page = Page(crew, at(world, "notes:line_check_finish", show.pk))
    assert page.status == 200
    assert page.send(who_was_told="Ines.").status == 302
    assert not LineCheck.objects.exists()
    mark(show, world.input, state="ok", by=world.people[Role.CREW])
    assert page.send(who_was_told="Ines.").status == 302
    assert LineCheck.objects.get().who_was_told == "Ines."


def test_the_line_check_says_which_rigs_play_and_leads_there(
    world: World, show: Show, crew: Client
) -> None:
    choose(show, shown={world.rig.pk: True}, playing=[], by=world.tech)
    url = at(world, "notes:line_check", show.pk)
    html = Page(crew, url).html
    assert "Bass main stays out." in html
    assert f"{at(world, 'rigs:show_rigs', show.pk)}?next={url}" in html
