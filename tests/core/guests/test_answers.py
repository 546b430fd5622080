"""What guests may write where they are asked to: once, under the name they typed, and no more."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from django.test import Client

from core.guests.asked import MOST_AN_HOUR
from core.guests.links import share
from core.models import Show
from rigs.backline.services import save_answer, save_line
from rigs.models import BacklineAnswer, BacklineChange, BacklineLine, PatchChange
from tests.rigs.shows.shows import make_show
from tests.support.pages import FORM_OF_PAGE, as_user
from tests.support.world import World

NAME = "Mara Quill"


@pytest.fixture
def show(world: World) -> Show:
    return make_show(world)


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


def test_a_house_engineer_asks_and_marks_ways(world: World, show: Show) -> None:
    url, client = link_to(world, show, "patch"), Client()
    sent = {
        "words": "Is that one ours?",
        "ways": [str(world.input.pk)],
        "guest_name": "House <b>engineer</b>",
    }
    for _ in range(2):
        assert client.post(url, sent).status_code == 302
    remark = PatchChange.objects.get()
    assert remark.words == ["About 7 Bass mic: Is that one ours?"]
    assert (remark.by, remark.by_name) == (None, "House <b>engineer</b> (guest)")
    patch = as_user(world.tech).get(f"/p/{world.production.pk}/shows/{show.pk}/patch/")
    assert "About 7 Bass mic: Is that one ours?" in patch.content.decode()
    assert "House <b>" not in patch.content.decode()
    # Guests read the patch, not what others asked about it.
    assert "Is that one ours?" not in client.get(url).content.decode()
    foreign = client.post(url, sent | {"ways": [str(world.rig.pk)]})
    assert foreign.status_code == 200
    assert PatchChange.objects.count() == 1


def test_only_who_may_answer_lets_others_answer(world: World, show: Show) -> None:
    page = f"/p/{world.production.pk}/shared/new/backline/{show.pk}/"
    assert "may_answer" in as_user(world.tech).get(page).content.decode()
    assert "may_answer" not in as_user(world.people["player"]).get(page).content.decode()
