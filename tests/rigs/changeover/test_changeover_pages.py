"""The changeover of a show on its pages: planned by two, ticked off by several, timed."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pypdfium2
import pytest
from django.test import Client

from core import clock
from core.models import Leg, Show
from core.moments import Moment, written_as
from core.search.backend import search
from rigs.changeover.live import news_of
from rigs.changeover.marks import DONE, OPEN, START, STOP
from rigs.changeover.records import changeover_of
from rigs.changeover.services import change, mark_clock, mark_step
from rigs.changeover.state import SET, STRIKE, Plan, Step
from rigs.models import Changeover, ChangeoverMark, LentLine, Riser
from tests.support.pages import as_user, at, queries_of, says
from tests.support.world import World


def test_a_step_is_tied_to_a_riser_by_its_name_or_has_a_place_in_words(
    world: World, show: Show
) -> None:
    riser = Riser.objects.create(
        production=world.production, name="Fern riser", width_m="2", depth_m="2"
    )
    planned(world, show)
    client = as_user(world.tech)
    url = at(world, "rigs:changeover_plan", show.pk)
    sent = typed(client.get(url), where_1="fern  riser", where_2="behind the organ")
    assert client.post(url, sent).status_code == 302
    first, second, _ = changeover_of(show).steps
    assert (first.riser, second.place) == (str(riser.pk), "behind the organ")
    # It follows the name that the riser has on the plot, and leads there.
    Riser.objects.update(name="Moss riser")
    html = client.get(at(world, "rigs:changeover", show.pk)).content.decode()
    assert f'{at(world, "rigs:show_plot", show.pk)}#riser-{riser.pk}">Moss riser</a>' in html
    api = f"/api/v1/shows/{show.pk}/changeover/"
    read = client.get(api).json()
    assert [(s["riser"], s["place"]) for s in read["steps"]][:2] == [
        (str(riser.pk), "Moss riser"),
        (None, "behind the organ"),
    ]
    # What a program read it can send back, and a page left as it is says nothing new.
    steps = [{name: s[name] for name in ("id", "part", "words", "riser")} for s in read["steps"]]
    changed = {"version": read["version"], "steps": steps}
    assert client.put(api, changed, content_type="application/json").status_code == 200
    assert changeover_of(show).steps[0].riser == str(riser.pk)
    before = changeover_of(show).version
    client.post(url, typed(client.get(url)))
    assert changeover_of(show).version == before
    changed["steps"][0]["riser"] = str(show.pk)
    changed["version"] = before
    refused = client.put(api, changed, content_type="application/json")
    assert "no such riser on the plot" in refused.content.decode()


def planned(world: World, show: Show, count: int = 3) -> list[Step]:
    """A strike step and `count` − 1 of the set, two minutes each, twenty minutes there."""
    steps = tuple(
        Step(
            f"{show.pk!s:.8}-0000-4000-8000-{number:012d}",
            STRIKE if number == 1 else SET,
            f"Step {number}",
            "drum riser",
            f"user:{world.tech.pk}" if number % 2 else "Bo",
            120,
        )
        for number in range(1, count + 1)
    )
    change(show, Plan(steps, 1200), base=0, by=world.engineer)
    return list(changeover_of(show).plan.steps)


def typed(page: Any, **changed: Any) -> dict[str, Any]:
    """What a browser would send of the page, with some of it changed: `who_2` is of step 2."""
    form = page.context["form"]
    data: dict[str, Any] = {"do": "save", "version": form.version, "add_part": "set"}
    rows = [(row, row.initial) for row in form.lines]
    for row, first in rows:
        for bound in row:
            value = first.get(bound.name)
            if value not in (None, False, ""):
                data[bound.html_name] = bound.field.prepare_value(value)
    for name, value in changed.items():
        field, _, number = name.rpartition("_")
        if number.isdigit():
            data[f"{form.lines[int(number) - 1].line.id}-{field}"] = value
        else:
            data[name] = value
    there = form.more.fields["there_s"].prepare_value(form.more.initial["there_s"])
    return {"there_s": there or "", **data}


def open_plan(world: World, show: Show, who: str = "tech") -> tuple[Client, Any, str]:
    client, url = as_user(world.people[who]), at(world, "rigs:changeover_plan", show.pk)
    return client, client.get(url), url


def words(show: Show) -> list[str]:
    return [step.words for step in changeover_of(show).plan.steps]


def text_of(answer: Any) -> str:
    return " ".join(answer.content.decode().split())


def test_a_page_without_a_plan_offers_ways_to_begin(world: World, show: Show) -> None:
    page = as_user(world.tech).get(at(world, "rigs:changeover", show.pk))
    assert "No step is planned" in page.content.decode()
    assert at(world, "rigs:changeover_propose", show.pk) in page.content.decode()
    assert not Changeover.objects.exists()


def test_steps_are_put_in_one_after_the_other(world: World, show: Show) -> None:
    client, page, url = open_plan(world, show)
    first = {"add_words": "Drum riser on", "add_planned_s": "4", "there_s": "20"}
    client.post(url, typed(page, **first, add_who=world.engineer.name, add_where="centre"))
    page = client.get(url)
    second = {"add_words": "Their carpet off", "add_part": STRIKE, "add_planned_s": "2:30"}
    answer = client.post(
        url, typed(page, **second, add_who="Bo", add_side_by_side="on"), follow=True
    )
    assert says(answer) == ["Strike: “Their carpet off” put in."]
    off, on = changeover_of(show).plan.steps
    assert (off.words, off.who, off.planned_s, off.side_by_side) == (
        "Their carpet off",
        "Bo",
        150,
        True,
    )
    assert (on.who, on.place, on.side_by_side) == (f"user:{world.engineer.pk}", "centre", False)
    # The riser waits for the carpet: 2:30 and 4:00 of 20:00.
    text = text_of(answer)
    assert "6:30" in text
    assert "13:30" in text


def test_numbers_and_arrows_move_steps_within_their_part(world: World, show: Show) -> None:
    planned(world, show, 4)
    client, page, url = open_plan(world, show)
    client.post(url, typed(page, place_4="2"))
    assert words(show) == ["Step 1", "Step 4", "Step 2", "Step 3"]
    _, page, _ = open_plan(world, show)
    line = page.context["form"].lines[1].line.id
    client.post(url, typed(page, do=f"up:{line}"))
    assert words(show)[0] == "Step 1"  # what comes on never goes in front of what goes off
    client.post(url, typed(client.get(url), do=f"down:{line}"))
    assert words(show) == ["Step 1", "Step 2", "Step 4", "Step 3"]


def test_two_who_change_different_steps_both_count_and_two_orders_are_asked(
    world: World, show: Show
) -> None:
    planned(world, show, 4)
    one, page, url = open_plan(world, show)
    other, _, _ = open_plan(world, show, "engineer")
    other.post(url, typed(page, place_4="2"))
    one.post(url, typed(page, who_2="Cy"))
    assert {step.who for step in changeover_of(show).plan.steps} >= {"Cy"}
    assert words(show)[1] == "Step 4"
    answer = one.post(url, typed(page, place_3="2", who_4="Di"))
    assert "Someone else changed this changeover, too" in answer.content.decode()
    form = answer.context["form"]
    assert len(form.orders) == 3
    decided = typed(page, place_3="2", who_4="Di") | {"decided-order": "now", "seen": form.seen}
    one.post(url, decided)
    assert words(show) == ["Step 1", "Step 4", "Step 2", "Step 3"]
    assert changeover_of(show).plan.steps[1].who == "Di"


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"planned_s_1": "soon"}, "is no time"),
        ({"place_1": "0"}, "greater than or equal to 1"),
        ({"words_1": ""}, "required"),
        ({"add_planned_s": "3"}, "Write what is done."),
        ({"there_s": "9999999"}, "is no time"),
    ],
)
def test_what_is_wrong_is_said_and_nothing_typed_is_lost(
    world: World, show: Show, wrong: dict[str, str], said: str
) -> None:
    planned(world, show)
    client, page, url = open_plan(world, show)
    answer = client.post(url, typed(page, where_2="typed by me", **wrong))
    assert answer.status_code == 200
    assert said in answer.content.decode()
    assert "typed by me" in answer.content.decode()
    assert changeover_of(show).version == 1


def test_a_step_is_ticked_off_and_opened_again_by_others(world: World, show: Show) -> None:
    step = planned(world, show)[0].id
    crew, player = (as_user(world.people[who]) for who in ("crew", "player"))
    tick = at(world, "rigs:changeover_tick", show.pk, step)
    answer = crew.post(tick, {"what": DONE})
    assert answer.headers["Location"].endswith(f"/changeover/#step-{step}")
    page = player.get(at(world, "rigs:changeover", show.pk))
    assert f"{world.people['crew'].name}, " in page.content.decode()
    assert changeover_of(show).done_count == 1
    player.post(tick, {"what": OPEN})
    assert changeover_of(show).done_count == 0
    assert [mark.by_name for mark in ChangeoverMark.objects.all()] == [
        world.people["crew"].name,
        world.people["player"].name,
    ]


def test_one_press_counts_once_however_often_it_is_sent(world: World, show: Show) -> None:
    step = planned(world, show)[0].id
    tick = at(world, "rigs:changeover_tick", show.pk, step)
    client, key = as_user(world.tech), {"Idempotency-Key": '"one-press-of-mine"'}
    for _ in range(3):
        assert client.post(tick, {"what": DONE}, headers=key).status_code == 302
    assert ChangeoverMark.objects.count() == 1


def test_what_waited_for_a_network_does_not_undo_what_came_later(world: World, show: Show) -> None:
    step = planned(world, show)[0].id
    now = clock.now()
    with written_as(Moment(now)):
        mark_step(show, step, OPEN, by=world.engineer)
    with written_as(Moment(now - timedelta(minutes=3), arrived_at=now)):
        said, _ = mark_step(show, step, DONE, by=world.tech)
    assert changeover_of(show).done_count == 0
    assert world.engineer.name in said


def test_the_clock_is_started_stopped_and_started_anew(world: World, show: Show) -> None:
    step = planned(world, show)[0].id
    client, url = as_user(world.people["crew"]), at(world, "rigs:changeover_clock", show.pk)
    page = at(world, "rigs:changeover", show.pk)
    begin = clock.now()
    with clock.set_to(begin):
        client.post(url, {"what": START})
    with clock.set_to(begin + timedelta(minutes=2, seconds=30)):
        said = says(client.post(url, {"what": START}, follow=True))
        assert said[-1] == f"The clock runs already: {world.people['crew'].name} started it."
        client.post(at(world, "rigs:changeover_tick", show.pk, step), {"what": DONE})
        found = changeover_of(show).steps[0]
        assert (found.ends_s, found.took_s, found.late_s) == (120, 150, 30)
        assert "17:30" in text_of(client.get(page))  # of 20:00
    with clock.set_to(begin + timedelta(minutes=21)):
        answer = client.get(page)
        assert answer.context["face"] == (60, "over")
        client.post(url, {"what": STOP})
    with clock.set_to(begin + timedelta(hours=2)):
        assert client.get(page).context["face"] == (60, "over")
        client.post(url, {"what": START})
        assert client.get(page).context["face"] == (1200, "left")
        answer = client.post(at(world, "rigs:changeover_open_all", show.pk), follow=True)
        assert says(answer) == ["1 step open again."]
    assert changeover_of(show).done_count == 0


def test_open_pages_are_told_all_that_holds(world: World, show: Show) -> None:
    step = planned(world, show)[0].id
    known = changeover_of(show).number
    assert news_of(show, known) == []
    mark_step(show, step, DONE, by=world.tech)
    mark_clock(show, START, by=world.engineer)
    (news,) = news_of(show, known)
    assert news.number == known + 2
    assert news.data["steps"][step]["done"] is True
    assert world.tech.name in news.data["steps"][step]["words"]
    assert news.data["clock"]["started"]
    assert news.data["clock"]["stopped"] == ""
    assert news_of(show, news.number) == []


def test_a_step_that_was_ticked_and_taken_out_comes_back_with_its_mark(
    world: World, show: Show
) -> None:
    steps = planned(world, show)
    mark_step(show, steps[0].id, DONE, by=world.tech)
    plan = changeover_of(show).plan
    change(show, Plan(plan.steps[1:], 1200), base=1, by=world.tech)
    assert changeover_of(show).done_count == 0
    tick = at(world, "rigs:changeover_tick", show.pk, steps[0].id)
    answer = as_user(world.tech).post(tick, {"what": DONE})
    assert answer.status_code == 409
    assert "not in the plan any more" in answer.content.decode()
    change(show, plan, base=2, by=world.tech)
    assert changeover_of(show).done_count == 1


@pytest.mark.parametrize(("role", "plans"), [("crew", True), ("manager", True), ("player", False)])
def test_everybody_ticks_and_players_do_not_plan(
    world: World, show: Show, role: str, plans: bool
) -> None:
    step = planned(world, show)[0].id
    client = as_user(world.people[role])
    plan = at(world, "rigs:changeover_plan", show.pk)
    assert client.get(plan).status_code == 200
    assert (client.post(plan, {}).status_code == 403) is not plans
    tick = at(world, "rigs:changeover_tick", show.pk, step)
    assert client.post(tick, {"what": DONE}).status_code == 302


def test_a_retired_show_is_left_as_it_is(world: World, show: Show) -> None:
    step = planned(world, show)[0].id
    show.retire()
    client = as_user(world.tech)
    tick = at(world, "rigs:changeover_tick", show.pk, step)
    assert client.post(tick, {"what": DONE}).status_code == 409
    assert (
        client.post(at(world, "rigs:changeover_clock", show.pk), {"what": START}).status_code == 409
    )
    assert not ChangeoverMark.objects.exists()
    assert "data-tick" not in client.get(at(world, "rigs:changeover", show.pk)).content.decode()


def test_a_new_show_begins_with_the_changeover_of_the_one_before(world: World, show: Show) -> None:
    steps = planned(world, show)
    mark_step(show, steps[0].id, DONE, by=world.tech)
    new = {"held_on": "2026-09-12", "room": "Barn"}
    url = at(world, "core:show_new", Leg.objects.get().pk)
    answer = as_user(world.tech).post(url, new, follow=True)
    assert f"Begun with the changeover of {show}." in says(answer)
    made = changeover_of(Show.objects.get(room="Barn"))
    assert [step.words for step in made.plan.steps] == words(show)
    assert (made.plan.there_s, made.done_count) == (1200, 0)
    assert not {step.id for step in made.plan.steps} & {step.id for step in steps}


def test_that_of_another_show_is_taken_after_a_look(world: World, show: Show) -> None:
    planned(world, show)
    other = Show.objects.create(leg=show.leg, held_on="2026-09-20", room="Barn")
    client, url = as_user(world.tech), at(world, "rigs:changeover_take", other.pk)
    page = client.get(url)
    assert page.context["words"][0] == "Strike: “Step 1” put in."
    client.post(f"{url}?from={show.pk}", {"version": page.context["version"]})
    assert words(other) == words(show)
    assert client.get(f"{url}?from={show.pk}").context["words"] == []


def test_first_steps_are_offered_and_only_what_is_ticked_is_put_in(
    world: World, show: Show
) -> None:
    LentLine.objects.create(show=show, act="The Kestrel Lamps", what="four voices")
    client, url = as_user(world.tech), at(world, "rigs:changeover_propose", show.pk)
    page = client.get(url)
    assert not Changeover.objects.exists()
    offered = {each.step.words: each for _, own in page.context["parts"] for each in own}
    assert offered["The Kestrel Lamps: four voices"].step.part == STRIKE
    amps = next(each for text, each in offered.items() if text.startswith("Amps of Ines Halloran"))
    assert client.post(url, {"version": 0}).context["problem"]
    client.post(url, {"version": 0, "step": [f"set:{amps.step.words}"]})
    assert words(show) == [amps.step.words]
    again = client.get(url).context["parts"]
    assert f"set:{amps.step.words}" not in {each.key for _, own in again for each in own}
    stale = client.post(url, {"version": 0, "step": ["strike:The Kestrel Lamps: four voices"]})
    assert "changed this plan meanwhile" in stale.context["problem"]


def test_it_is_found_and_stands_in_the_card_of_the_show(world: World, show: Show) -> None:
    planned(world, show)
    assert [hit.path for hit in search(world.production, "“Step 2”").hits]
    card = as_user(world.tech).get(show.leg.get_absolute_url())
    assert "0 of 3 done" in text_of(card)
    assert at(world, "rigs:changeover", show.pk) in card.content.decode()


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
@pytest.mark.parametrize("count", [0, 16, 24])
def test_it_stands_on_one_page(world: World, show: Show, paper: str, count: int) -> None:
    if count:
        planned(world, show, count)
    url = at(world, "rigs:changeover_pdf", show.pk)
    answer = as_user(world.tech).get(f"{url}?paper={paper}")
    found = pypdfium2.PdfDocument(answer.content)
    assert len(found) == 1
    text = found[0].get_textpage().get_text_range()
    assert "Changeover" in text
    assert "Lifting against the clock" in text


@pytest.mark.parametrize("name", ["changeover", "changeover_plan", "changeover_history"])
def test_the_number_of_queries_does_not_grow(world: World, show: Show, name: str) -> None:
    steps = planned(world, show, 2)
    client, url = as_user(world.tech), at(world, f"rigs:{name}", show.pk)
    few = queries_of(client, url)
    more = tuple(Step(f"{show.pk!s:.8}-1111-4000-8000-{n:012d}", words="More") for n in range(30))
    change(show, Plan((*steps, *more), 1200), base=1, by=world.tech)
    for step in more:
        mark_step(show, step.id, DONE, by=world.engineer)
    assert queries_of(client, url) == few


def test_the_api_plans_ticks_and_says_what_clashes(world: World, show: Show) -> None:
    client = as_user(world.tech)
    of_json: dict[str, Any] = {"content_type": "application/json"}
    url = f"/api/v1/shows/{show.pk}/changeover/"
    assert client.get(url).json()["version"] == 0
    sent: dict[str, Any] = {
        "version": 0,
        "there_s": 1200,
        "steps": [
            {"words": "Kit on", "person": str(world.tech.pk), "planned_s": 240},
            {"words": "Carpet off", "part": "strike", "name": "Bo", "planned_s": 300},
        ],
    }
    answer = client.put(url, sent, **of_json)
    assert answer.status_code == 200, answer.content
    found = answer.json()
    assert [step["words"] for step in found["steps"]] == ["Carpet off", "Kit on"]
    assert (found["needed_s"], found["sum_s"], found["over_s"]) == (300, 540, -900)
    assert found["hands"][0] == {"name": "Bo", "planned_s": 300}
    marks = f"{url}marks/"
    press = {"what": "done", "step": found["steps"][0]["id"]}
    answer = client.post(marks, press, **of_json)
    assert answer.json()["steps"][0]["done"]["by_name"] == world.tech.name
    assert client.post(marks, {"what": "done"}, **of_json).status_code == 422
    other = as_user(world.engineer)
    step = {**sent["steps"][0], "id": found["steps"][1]["id"], "name": "Cy", "person": None}
    other.put(url, {**sent, "version": 1, "steps": [step]}, **of_json)
    mine = {**step, "name": "Di"}
    clash = client.put(
        url, {**sent, "version": 1, "steps": [mine]}, content_type="application/json"
    )
    assert (clash.status_code, clash.json()["code"]) == (409, "changed_meanwhile")
    wrong = {**step, "person": "00000000-0000-4000-8000-000000000000"}
    answer = client.put(
        url, {**sent, "version": 2, "steps": [wrong]}, content_type="application/json"
    )
    assert answer.status_code == 422
