"""What guests may write where they are asked to: once, under the name they typed, and no more."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from core import clock
from core.access.loaders import load_member
from core.guests.asked import MOST_AN_HOUR
from core.guests.links import share
from core.models import Show, User
from rigs.backline.services import save_answer, save_line
from rigs.backline.to_dos import to_reply
from rigs.models import (
    BacklineAnswer,
    BacklineChange,
    BacklineLine,
    PatchChange,
    PatchLine,
    PatchQuestion,
)
from tests.rigs.shows.shows import make_show
from tests.support.pages import FORM_OF_PAGE, as_user
from tests.support.world import World

NAME = "Mara Quill"


@pytest.fixture
def show(world: World) -> Show:
    return make_show(world)


@pytest.fixture
def tonight(show: Show) -> Show:
    """That show, of today: what was offered for one that is over is no to-do."""
    show.held_on = date.today()
    show.save()
    return show


@pytest.fixture
def line(world: World, show: Show) -> BacklineLine:
    line = BacklineLine(leg=show.leg, show=show, what="Bass head", wanted="Ostrander Sluice")
    save_line(line, by=world.engineer)
    return line


def link_to(world: World, show: Show, kind: str, *, may_answer: bool = True) -> str:
    return share(
        production=world.production,
        kind=kind,
        subject=show.pk,
        by=world.engineer,
        for_whom="Hire firm",
        until=date.today() + timedelta(days=5),
        address="/g/{}/".format,
        may_answer=may_answer,
    ).url


def answer(line: BacklineLine, **more) -> dict[str, str]:
    sent = {"offer-0": "wanted", "offered-0": "", "about-0": "From our second shop."}
    return sent | {"seen-0": "0", "line-0": str(line.pk), "guest_name": NAME} | more


def test_a_hire_firm_fills_in_the_specification_once(
    world: World, show: Show, line: BacklineLine
) -> None:
    url, client = link_to(world, show, "backline"), Client()
    page = client.get(url).content.decode()
    assert "What you are asked" in page
    assert len(FORM_OF_PAGE.findall(page)) == 1
    before = BacklineChange.objects.count()
    for _ in range(2):  # sent twice, as by a press too many
        assert client.post(url, answer(line)).headers["Location"] == f"{url}?sent"
    row = BacklineAnswer.objects.get()
    assert (row.offered, row.from_whom, row.reply) == (
        "Ostrander Sluice",
        "Mara Quill (guest)",
        "open",
    )
    change = BacklineChange.objects.exclude(by=world.engineer).get()
    assert change.by is None
    assert change.by_name == "Mara Quill (guest)"
    assert BacklineChange.objects.count() == before + 1
    assert "Thank you" in client.get(f"{url}?sent").content.decode()
    members = as_user(world.engineer).get(f"/p/{world.production.pk}/shows/{show.pk}/backline/")
    assert "Mara Quill (guest)" in members.content.decode()


def waiting(world: World, who: User, show: Show) -> list[str]:
    """What of its backline waits for them, in words."""
    found = to_reply(who, [load_member(who, world.production.pk)])
    lines = found.get(world.production.pk, [])
    url = f"/p/{world.production.pk}/shows/{show.pk}/backline/"
    assert {each.url for each in lines} <= {url}
    return [each.words for each in lines]


def test_an_offer_waits_for_a_reply_of_the_crew(
    world: World, tonight: Show, line: BacklineLine
) -> None:
    crew = world.people["crew"]
    typed = BacklineAnswer(line=line, show=tonight, offered="Typed by the crew itself")
    save_answer(typed, by=world.engineer)
    assert waiting(world, crew, tonight) == []
    url = link_to(world, tonight, "backline")
    Client().post(url, answer(line, **{"seen-0": "1"}))
    said = [f"1 offer for the backline waits for your reply, {tonight}"]
    for role in ("engineer", "tech", "crew", "manager", "monitors"):
        assert waiting(world, world.people[role], tonight) == said, role
    assert waiting(world, world.people["player"], tonight) == []
    assert said[0] in as_user(crew).get(f"/p/{world.production.pk}/").content.decode()

    row = BacklineAnswer.objects.get()
    for settled in ({"reply": "taken"}, {"reply": "refused"}, {"came": "It"}, {"came_count": 1}):
        BacklineAnswer.objects.filter(pk=row.pk).update(**settled)
        assert waiting(world, crew, tonight) == [], settled
        BacklineAnswer.objects.filter(pk=row.pk).update(reply="open", came="", came_count=None)
    assert waiting(world, crew, tonight) == said


def test_what_a_firm_has_not_waits_and_what_is_over_does_not(
    world: World, tonight: Show, line: BacklineLine
) -> None:
    crew = world.people["crew"]
    url = link_to(world, tonight, "backline")
    Client().post(url, answer(line, **{"offer-0": "none", "about-0": ""}))
    assert len(waiting(world, crew, tonight)) == 1
    for rows, over in (
        (Show.objects, {"held_on": date.today() - timedelta(days=2)}),
        (Show.objects, {"retired_at": clock.now()}),
        (BacklineLine.objects, {"retired_at": clock.now()}),
    ):
        before = rows.values(*over).get()
        rows.update(**over)
        assert waiting(world, crew, tonight) == [], over
        rows.update(**before)
    assert len(waiting(world, crew, tonight)) == 1


def test_what_the_crew_says_is_not_the_guests_to_write(
    world: World, show: Show, line: BacklineLine
) -> None:
    url = link_to(world, show, "backline")
    more = {"reply-0": "taken", "came-0": "All of it", "reply": "taken", "came": "All", "what": "X"}
    assert Client().post(url, answer(line) | more).status_code == 302
    row = BacklineAnswer.objects.get()
    assert (row.reply, row.came, row.came_count) == ("open", "", None)
    line.refresh_from_db()
    assert line.what == "Bass head"


def test_an_answer_on_an_older_page_comes_back_as_it_was_typed(
    world: World, show: Show, line: BacklineLine
) -> None:
    url, client = link_to(world, show, "backline"), Client()
    crew = BacklineAnswer(line=line, show=show, offered="Brackmoor Kiln", reply="taken")
    save_answer(crew, by=world.engineer)
    refused = client.post(url, answer(line))
    text = refused.content.decode()
    assert refused.status_code == 200
    assert "Somebody else answered this meanwhile: Brackmoor Kiln." in text
    assert "From our second shop." in text
    assert BacklineAnswer.objects.get().offered == "Brackmoor Kiln"
    # Another offer is not the one that was accepted.
    assert client.post(url, answer(line, **{"seen-0": "1"})).status_code == 302
    assert BacklineAnswer.objects.get().reply == "open"
    nameless = client.post(url, answer(line, guest_name=" "))
    assert "so that the crew knows whom to ask" in nameless.content.decode()


def test_who_was_not_asked_writes_nothing(world: World, show: Show, line: BacklineLine) -> None:
    url, client = link_to(world, show, "backline", may_answer=False), Client()
    assert not FORM_OF_PAGE.search(client.get(url).content.decode())
    client.post(url, answer(line))
    inputs = link_to(world, show, "inputs")
    client.post(inputs, answer(line))
    assert not BacklineAnswer.objects.exists()
    deep = link_to(world, show, "show-rigs")
    assert client.post(f"{deep}rigs/{world.rig.pk}/", answer(line)).status_code == 404


def test_guests_write_no_more_than_can_be_meant(
    world: World, show: Show, line: BacklineLine
) -> None:
    url, client = link_to(world, show, "backline"), Client()
    for n in range(MOST_AN_HOUR):
        BacklineChange(line=line, show=show, words=[str(n)], by_name="Somebody (guest)").save()
    said = client.post(url, answer(line)).content.decode()
    assert "That is a lot within an hour." in said
    assert not BacklineAnswer.objects.exists()


def ask(world: World, url: str, **more) -> int:
    sent = {
        "words": "Is that one ours?",
        "ways": [str(world.input.pk)],
        "guest_name": "House <b>engineer</b>",
    }
    return Client().post(url, sent | more).status_code


def patch_of(world: World, show: Show, who: User) -> str:
    page = as_user(who).get(f"/p/{world.production.pk}/shows/{show.pk}/patch/")
    return page.content.decode()


def test_a_house_engineer_asks_and_marks_ways(world: World, show: Show) -> None:
    url = link_to(world, show, "patch")
    assert [ask(world, url), ask(world, url)] == [302, 302]  # pressed twice: one question
    question = PatchQuestion.objects.get()
    assert (question.words, question.ways) == ("Is that one ours?", ["7 Bass mic"])
    change = PatchChange.objects.get()
    assert change.words == ["A question about 7 Bass mic."]  # what they typed is kept apart
    assert (change.by, change.by_name) == (None, "House <b>engineer</b> (guest)")
    page = patch_of(world, show, world.tech)
    assert "Is that one ours?" in page
    assert "House <b>" not in page
    # The patch itself stays as it is, and guests read what was asked by their own link alone.
    assert not PatchLine.objects.exists()
    assert "Is that one ours?" in Client().get(url).content.decode()
    assert "Is that one ours?" not in Client().get(link_to(world, show, "patch")).content.decode()
    assert ask(world, url, ways=[str(world.rig.pk)]) == 200
    assert PatchQuestion.objects.count() == PatchChange.objects.count() == 1
    # Others words are another question, and so are other ways.
    assert [ask(world, url, words="And 8?"), ask(world, url, ways=[])] == [302, 302]
    assert PatchQuestion.objects.count() == PatchChange.objects.count() == 3


def test_a_question_waits_for_the_crew_until_it_is_answered(world: World, show: Show) -> None:
    url = link_to(world, show, "patch")
    ask(world, url)
    question = PatchQuestion.objects.get()
    waits = f"/p/{world.production.pk}/shows/{show.pk}/patch/#questions"
    front = f"/p/{world.production.pk}/"
    for role in ("engineer", "tech", "crew", "monitors"):
        assert waits in as_user(world.people[role]).get(front).content.decode(), role
    for role in ("player", "manager"):
        assert waits not in as_user(world.people[role]).get(front).content.decode(), role
    answers = reverse("rigs:show_patch_answer", args=[world.production.pk, show.pk, question.pk])
    assert as_user(world.people["player"]).post(answers, {"answer": "No."}).status_code == 403
    long = as_user(world.tech).post(answers, {"answer": "x" * 1001})
    assert long.status_code == 200
    assert "x" * 1001 in long.content.decode()  # nothing that was typed is lost
    for _ in range(2):
        assert as_user(world.tech).post(answers, {"answer": "Yes, yours."}).status_code == 302
    assert PatchChange.objects.filter(words=["A guest’s question is answered."]).count() == 1
    assert waits not in as_user(world.engineer).get(front).content.decode()
    seen = Client().get(url).content.decode()
    assert "Yes, yours." in seen
    assert str(world.tech) in seen
    late = as_user(world.engineer).post(answers, {"answer": "No, ours."})
    assert "answered this meanwhile: Yes, yours." in late.content.decode()
    question.refresh_from_db()
    assert (question.answer, question.answered_by) == ("Yes, yours.", world.tech)


def test_the_api_tells_what_was_asked(world: World, show: Show) -> None:
    ask(world, link_to(world, show, "patch"))
    (question,) = as_user(world.tech).get(f"/api/v1/shows/{show.pk}/patch/").json()["questions"]
    assert (question["words"], question["ways"]) == ("Is that one ours?", ["7 Bass mic"])
    assert question["answered_at"] is None


def test_the_crew_answers_by_the_api_as_on_the_page(world: World, show: Show) -> None:
    url = link_to(world, show, "patch")
    ask(world, url)
    question = PatchQuestion.objects.get()
    address = f"/api/v1/shows/{show.pk}/patch/questions/{question.pk}/answer/"

    def send(who: User, answer: str, to: str = address) -> tuple[int, dict[str, Any]]:
        sent = as_user(who).post(to, {"answer": answer}, content_type="application/json")
        return sent.status_code, sent.json()

    assert send(world.people["player"], "No.")[0] == 403
    assert send(world.tech, "x" * 1001)[1]["fields"].keys() == {"answer"}
    elsewhere = make_show(world, room="Elsewhere")
    assert send(world.tech, "Yes.", address.replace(str(show.pk), str(elsewhere.pk)))[0] == 404
    assert PatchQuestion.objects.get().is_open
    for _ in range(2):  # sent twice, it is one answer
        status, told = send(world.tech, "Yes, yours.")
        assert (status, told["answer"], told["answered_by_name"]) == (
            200,
            "Yes, yours.",
            world.tech.name,
        )
    assert PatchChange.objects.filter(words=["A guest’s question is answered."]).count() == 1
    assert "Yes, yours." in Client().get(url).content.decode()
    status, told = send(world.engineer, "No, ours.")
    assert (status, told["fields"]["all"]) == (
        422,
        [f"{world.tech.name} answered this meanwhile: Yes, yours."],
    )


def test_a_question_is_settled_by_word_of_mouth(world: World, show: Show) -> None:
    ask(world, link_to(world, show, "patch"))
    question = PatchQuestion.objects.get()
    answers = reverse("rigs:show_patch_answer", args=[world.production.pk, show.pk, question.pk])
    assert as_user(world.tech).post(answers, {"answer": ""}).status_code == 302
    assert PatchChange.objects.filter(words=["A guest’s question is settled."]).exists()
    assert "settled" in patch_of(world, show, world.tech)


def test_only_who_may_answer_lets_others_answer(world: World, show: Show) -> None:
    page = f"/p/{world.production.pk}/shared/new/backline/{show.pk}/"
    assert "may_answer" in as_user(world.tech).get(page).content.decode()
    assert "may_answer" not in as_user(world.people["player"]).get(page).content.decode()
