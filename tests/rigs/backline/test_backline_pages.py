"""The specification of a show and of its leg: asked for, offered, came; begun from the rigs."""

from __future__ import annotations

import csv
import io
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from core.models import Show
from core.models.roles import Role
from rigs.backline.lines import asked_at, tallies
from rigs.backline.services import save_answer, save_line, withdraw
from rigs.changes.edits import Add
from rigs.lists.sheets import read
from rigs.models import BacklineAnswer, BacklineChange, BacklineLine, ShowHire
from tests.rigs.paper.test_sheets import text_of
from tests.rigs.shows.shows import make_show
from tests.support.pages import as_user, queries_of
from tests.support.rig_pages import Page
from tests.support.world import World


@pytest.fixture
def manager(world: World) -> Client:
    return as_user(world.people[Role.MANAGER])


def at(name: str, show: Show, *more: Any) -> str:
    return reverse(f"rigs:{name}", args=[show.leg.production_id, show.pk, *more])


def of_leg(name: str, show: Show) -> str:
    return reverse(f"rigs:{name}", args=[show.leg.production_id, show.leg_id])


def ask(world: World, at_leg_of: Show, what: str = "Bass cabinet", **more: Any) -> BacklineLine:
    line = BacklineLine(leg=at_leg_of.leg, what=what, **more)
    save_line(line, by=world.engineer)
    return line


def answer(world: World, show: Show, line: BacklineLine, **more: Any) -> BacklineAnswer:
    row = BacklineAnswer(line=line, show=show, **more)
    save_answer(row, by=world.engineer)
    return row


def test_asked_for_offered_and_came(world: World, show: Show, manager: Client) -> None:
    Page(manager, at("show_backline_new", show)).send(
        what="Bass cabinet, 4 × 10 in",
        count="2",
        wanted="Corvane Hull",
        accepted="Tarn Keep",
        refused="Selvage Box",
        notes="Stage right, on a riser.",
    )
    line = BacklineLine.objects.get()
    assert (line.count, line.show, line.leg) == (2, show, show.leg)
    crew = as_user(world.people[Role.CREW])
    page = Page(crew, at("backline_answer", show, line.pk))
    page.send(
        offered="Selvage Box 410", from_whom="the house", came="Tarn Keep 410", came_count="1"
    )
    html = Page(manager, at("show_backline", show)).html
    for said in (
        "2 × Bass cabinet, 4 × 10 in",
        "What is offered is among what is not accepted.",
        "1 of 2 did not come.",
        "Tarn Keep 410: accepted instead",
        "1 asked for, 1 open",
        "Offered: nothing → Selvage Box 410.",
        world.people[Role.CREW].name,
    ):
        assert said in html
    told = BacklineChange.objects.filter(show=show).get()
    assert told.by == world.people[Role.CREW]


def test_what_the_leg_asks_for_holds_at_each_show(world: World, show: Show) -> None:
    other = make_show(world, "The Barn")
    line = ask(world, show, count=2)
    ask(world, show, "Drum carpet", show=other)
    answer(world, show, line, came_count=2)
    assert [str(each.line) for each in asked_at(show)] == ["2 × Bass cabinet"]
    assert [each.line.what for each in asked_at(other)] == ["Bass cabinet", "Drum carpet"]
    assert tallies([show, other]) == {show.pk: (1, 0), other.pk: (2, 2)}


def test_a_rejected_form_keeps_what_was_typed(show: Show, manager: Client) -> None:
    page = Page(manager, at("show_backline_new", show)).send(
        what="Riser", count="0", notes="2 × 1 m"
    )
    assert page.status == 200
    assert page.sent["notes"] == "2 × 1 m"
    assert "greater than or equal to 1" in page.html
    assert not BacklineLine.objects.exists()


def test_two_first_answers_at_once(world: World, show: Show, manager: Client) -> None:
    line = ask(world, show)
    page = Page(manager, at("backline_answer", show, line.pk))
    answer(world, show, line, offered="Tarn Keep")
    again = page.send(offered="Corvane Hull")
    assert "Someone else changed this" in again.html
    assert "Now there: Tarn Keep" in again.html
    assert BacklineAnswer.objects.get().offered == "Tarn Keep"
    again.send()
    assert BacklineAnswer.objects.get().offered == "Corvane Hull"


def test_a_line_of_another_show_takes_no_answer(world: World, show: Show, manager: Client) -> None:
    line = ask(world, show, show=make_show(world, "The Barn"))
    assert manager.get(at("backline_answer", show, line.pk)).status_code == 404


def test_one_press_begins_it_and_a_second_adds_nothing(
    world: World, show: Show, manager: Client
) -> None:
    kick, singer, pedal = (str(uuid4()) for _ in range(3))
    world.record(
        Add(kick, "unit", {"name": "Kick", "gear": "drum", "maker": "Selvage", "model": "Boom"}),
        Add(str(uuid4()), "fact", {"unit": kick, "key": "diameter", "value": "0.5588"}),
        Add(str(uuid4()), "fact", {"unit": kick, "key": "shell_depth", "value": "0.4064"}),
        Add(singer, "unit", {"name": "Noor", "gear": "voice"}),
        Add(pedal, "unit", {"name": "Fuzz", "gear": "wah", "model": "Moth"}),
        Add(str(uuid4()), "unit", {"name": "Echo", "gear": "guitar", "model": "Heron"}),
    )
    ShowHire.objects.create(show=show, section="units", what="Moth", by_name="Ana")
    manager.post(at("show_backline_begin", show))
    asked = {line.wanted: line for line in BacklineLine.objects.all()}
    # 558.8 mm are 22 in, 406.4 mm are 16: the inch is 25.4 mm exactly (international yard and
    # pound agreement of 1959; from memory).
    assert asked["Selvage Boom"].what == "Drum, 22 in × 16 in"
    assert "Moth" in asked
    assert not {"Noor", "Heron"} & set(asked)
    assert str(world.player) in asked["Selvage Boom"].notes
    count = len(asked)
    withdraw(asked["Moth"], by=world.engineer)
    manager.post(at("show_backline_begin", show))
    assert BacklineLine.objects.count() == count
    assert BacklineLine.objects.live().count() == count - 1


def test_taken_off_and_asked_for_again(world: World, show: Show, manager: Client) -> None:
    line = ask(world, show)
    url = reverse("rigs:backline_retire", args=[world.production.pk, line.pk])
    manager.post(url)
    html = Page(manager, of_leg("leg_backline", show)).html
    assert "Nothing is asked for yet" in html
    assert "Not asked for any more (1)" in html
    manager.post(url, {"back": "1"})
    assert BacklineLine.objects.live().get() == line
    html = Page(manager, of_leg("leg_backline_history", show)).html
    assert html.index("Asked for again.") < html.index("Not asked for any more.")


def test_nothing_is_written_at_a_retired_show(world: World, show: Show, manager: Client) -> None:
    line = ask(world, show)
    show.retire()
    assert manager.get(at("backline_answer", show, line.pk)).status_code == 302
    manager.post(at("show_backline_begin", show))
    manager.post(at("show_backline_new", show), {"what": "Riser", "count": "1"})
    assert BacklineLine.objects.get() == line


def test_who_may(world: World, show: Show) -> None:
    line, player = ask(world, show), as_user(world.people[Role.PLAYER])
    crew = as_user(world.people[Role.CREW])
    assert player.get(at("show_backline", show)).status_code == 200
    assert player.get(at("backline_answer", show, line.pk)).status_code == 403
    assert crew.get(at("backline_answer", show, line.pk)).status_code == 200
    assert crew.post(at("show_backline_begin", show)).status_code == 403


def test_the_page_costs_the_same_for_many(world: World, show: Show, manager: Client) -> None:
    answer(world, show, ask(world, show), offered="Tarn Keep")
    pages = [at("show_backline", show), of_leg("leg_backline", show), show.leg.get_absolute_url()]
    few = [queries_of(manager, page) for page in pages]
    for n in range(12):
        answer(world, show, ask(world, show, f"Thing {n}"), came="It")
    assert [queries_of(manager, page) for page in pages] == few


def test_files_say_the_same(world: World, show: Show, manager: Client) -> None:
    line = ask(world, show, count=3, wanted="Corvane Hull\nTarn Keep", notes="On a riser.")
    answer(world, show, line, offered="Tarn Keep", reply="taken", came="Tarn Keep", came_count=3)
    sheet = manager.get(at("show_backline_file", show, "csv")).content.decode("utf-8-sig")
    rows = list(csv.DictReader(io.StringIO(sheet)))
    (row,) = rows
    assert (row["Count"], row["What"], row["Wanted"]) == (
        "3",
        "Bass cabinet",
        "Corvane Hull; Tarn Keep",
    )
    assert (row["Offered"], row["Our reply"], row["Came"]) == ("Tarn Keep", "accepted", "Tarn Keep")
    book = read("x.xlsx", manager.get(at("show_backline_file", show, "xlsx")).content)
    assert "Bass cabinet" in str(book)
    for paper in ("", "?paper=us-letter"):
        data = manager.get(at("show_backline_file", show, "pdf") + paper).content
        text = " ".join(text_of(data))
        for said in ("Corvane Hull; Tarn Keep", "Tarn Keep: accepted", "3 × Tarn Keep"):
            assert said in text
        assert b"/StructTreeRoot" in data or b"pdfuaid" in data
    none = reverse("rigs:leg_backline_file", args=[world.production.pk, show.leg_id, "doc"])
    assert manager.get(none).status_code == 404


def test_it_is_found_by_what_came(world: World, show: Show, manager: Client) -> None:
    answer(world, show, ask(world, show), came="Quillback 410")
    url = reverse("core:search", args=[world.production.pk])
    assert "Backline: Bass cabinet" in manager.get(url, {"q": "quillback"}).content.decode()


def test_the_api_asks_once_and_answers(world: World, show: Show, manager: Client) -> None:
    url = reverse("api-show-backline", args=[show.pk])
    sent = {"what": "Riser", "count": 2, "whole_leg": True}
    key = {"Idempotency-Key": '"riser-0001"'}
    first, again = (
        manager.post(url, sent, content_type="application/json", headers=key) for _ in range(2)
    )
    assert (first.status_code, again.status_code) == (201, 200)
    line = BacklineLine.objects.get()
    one = reverse("api-show-backline-answer", args=[show.pk, line.pk])
    came = {"version": 0, "reply": "open", "came": "Riser", "came_count": 1}
    assert manager.put(one, came, content_type="application/json").status_code == 200
    stale = manager.put(one, came, content_type="application/json")
    assert stale.status_code == 422
    (read_back,) = manager.get(url).json()
    assert (read_back["missing"], read_back["answer"]["version"]) == (1, 1)
    bad = manager.post(url, {"what": "Riser", "count": 0}, content_type="application/json")
    assert bad.status_code == 422
    assert bad.json()["fields"]["count"]
