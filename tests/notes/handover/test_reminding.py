"""Reminders: to each their own items, once a day, on record."""

from __future__ import annotations

import io
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.core import mail
from django.core.management import CommandError, call_command

from core import clock
from core.access.loaders import load_member
from core.models import Leg, User
from core.models.roles import Role
from notes.handover import services
from notes.handover.remind import outlook, remind
from notes.handover.to_dos import in_days
from notes.models import PublishedHandover, Reminder
from notes.to_dos import to_dos
from tests.notes.handover.published_support import published, words
from tests.notes.handover.support import legs
from tests.support.own_process import run_alone
from tests.support.pages import as_user, at, says
from tests.support.world import World

BEFORE = datetime(2026, 10, 28, 9, tzinfo=UTC)  # four days before the winter leg
BASE = "https://notebook.example"


@pytest.fixture
def leg(world: World) -> Leg:
    _, winter = legs(world)
    words(winter)
    return winter


@pytest.fixture
def made(world: World, leg: Leg) -> PublishedHandover:
    with clock.set_to(BEFORE):
        return published(world, leg)


def _send(made: PublishedHandover, moment: datetime = BEFORE, **more: Any) -> Any:
    with clock.set_to(moment):
        return remind(made, by=more.pop("by", None), base=BASE, **more)


def _to() -> dict[str, str]:
    return {message.to[0]: str(message.body) for message in mail.outbox}


def test_each_gets_their_own_items_only(world: World, leg: Leg, made: PublishedHandover) -> None:
    crew, tech, engineer = world.people["crew"], world.tech, world.engineer
    monitors = world.people["monitors"]
    services.acknowledge(leg=leg, user=crew, player=None)
    services.ask(leg=leg, user=crew, words="Which fuse?", player=None, owed_by=engineer)
    services.ask(leg=leg, user=crew, words="How loud?", player=world.player)
    sent = _send(made, by=engineer)
    assert sorted(sent.to) == sorted([crew.name, tech.name, engineer.name, monitors.name])
    to = _to()
    assert set(to) == {crew.email, tech.email, engineer.email, monitors.email}
    assert "To read (1):\n  Ines Halloran" in to[crew.email]
    assert "Which fuse?" not in to[crew.email]
    assert "To read (2):" in to[tech.email]
    assert "How loud?" in to[tech.email]
    assert "Which fuse?" not in to[tech.email]
    # The one who published it need not read it, is told what nobody read, and owes answers.
    assert "To read" not in to[engineer.email]
    assert "nobody has read (1):\n  Ines Halloran" in to[engineer.email]
    assert "Which fuse?" in to[engineer.email]
    for body in to.values():
        assert f"{BASE}{made.get_absolute_url()}" in body
        assert "starts in 4 days" in body
    assert mail.outbox[0].subject == "The Long Quiet: Handover 1 for Winter"
    record = Reminder.objects.get(user=crew)
    assert (record.sent_by, record.sent_at, record.sections, record.questions) == (
        engineer,
        BEFORE,
        1,
        0,
    )


def test_who_has_nothing_waiting_gets_no_mail(world: World, leg: Leg) -> None:
    with clock.set_to(BEFORE):
        made = published(world, leg)
    for who in ("crew", "tech", "monitors"):
        for player in (None, world.player):
            services.acknowledge(leg=leg, user=world.people[who], player=player)
    assert _send(made).to == []
    assert mail.outbox == []


def test_once_a_day_unless_asked_again(made: PublishedHandover) -> None:
    first = len(_send(made).to)
    later = BEFORE + timedelta(hours=10)
    assert (_send(made, later).to, len(_send(made, later).not_again)) == ([], first)
    assert len(mail.outbox) == first
    assert len(_send(made, later, again=True).to) == first
    assert len(_send(made, BEFORE + timedelta(days=1)).to) == first
    assert Reminder.objects.count() == 3 * first


def test_a_mail_that_fails_is_not_on_record_and_stops_nobody_elses(
    made: PublishedHandover, monkeypatch: pytest.MonkeyPatch, world: World
) -> None:
    from django.core.mail import EmailMessage

    whole = EmailMessage.send

    def send(message: EmailMessage, **more: Any) -> Any:
        if message.to == [world.people["crew"].email]:
            raise OSError("no such host")
        return whole(message, **more)

    monkeypatch.setattr(EmailMessage, "send", send)
    sent = _send(made)
    assert sent.failed == [world.people["crew"].name]
    assert len(sent.to) == 3
    assert not Reminder.objects.filter(user=world.people["crew"]).exists()


def test_the_command_reminds_once_a_day_for_legs_that_start_soon(
    world: World, made: PublishedHandover
) -> None:
    def run(moment: datetime, *more: str) -> str:
        out = io.StringIO()
        with clock.set_to(moment):
            call_command("remind", "--address", BASE, *more, stdout=out)
        return out.getvalue()

    assert run(BEFORE - timedelta(days=10)) == ""
    assert "Handover 1: 4 reminded, 0 were already today" in run(BEFORE)
    assert "0 reminded, 4 were already today" in run(BEFORE + timedelta(hours=1))
    assert run(BEFORE + timedelta(days=8)) == ""  # it has started
    assert len(mail.outbox) == 4
    assert set(Reminder.objects.values_list("sent_by", flat=True)) == {None}
    assert f"{BASE}/p/" in str(mail.outbox[0].body)


def test_the_command_fails_where_mail_does(
    made: PublishedHandover, monkeypatch: pytest.MonkeyPatch
) -> None:
    from django.core.mail import EmailMessage

    def send(message: EmailMessage, **more: Any) -> Any:
        raise OSError("no such host")

    monkeypatch.setattr(EmailMessage, "send", send)
    with clock.set_to(BEFORE), pytest.raises(CommandError, match="Not every mail"):
        call_command("remind", stdout=io.StringIO())


def test_the_page_says_what_nobody_read_and_answered(
    world: World, leg: Leg, made: PublishedHandover
) -> None:
    services.ask(leg=leg, user=world.people["crew"], words="Which fuse?", player=None)
    services.acknowledge(leg=leg, user=world.people["crew"], player=world.player)
    # What a manager reads does not stand in for the crew.
    services.acknowledge(leg=leg, user=world.people["manager"], player=None)
    url = at(world, "notes:reminders", leg.pk)
    with clock.set_to(BEFORE):
        response = as_user(world.engineer).get(url)
        html = response.content.decode()
        assert "starts in 4 days" in html
        assert [part.title for part in outlook(made).progress.unread_by_all] == ["General part"]
        assert "Which fuse?" in html
        assert "1 of 2 sections read" in html
        sent = as_user(world.engineer).post(url, follow=True)
    assert says(sent)[0].startswith("Reminded: ")
    assert "last reminded 28 Oct 2026, 09:00" in sent.content.decode()
    assert len(mail.outbox) == 4


def test_before_anything_is_published_the_page_says_so(world: World, leg: Leg) -> None:
    url = at(world, "notes:reminders", leg.pk)
    assert "Nothing is published yet" in as_user(world.tech).get(url).content.decode()
    as_user(world.tech).post(url)
    assert mail.outbox == []


@pytest.mark.parametrize("who", Role.values)
def test_those_who_hand_over_and_the_manager_remind(
    world: World, leg: Leg, made: PublishedHandover, who: str
) -> None:
    may = who in ("engineer", "tech", "manager")
    url, client = at(world, "notes:reminders", leg.pk), as_user(world.people[who])
    assert client.get(url).status_code == (200 if may else 403)
    # Whoever may is led there, from the handover as from its working copy.
    for page in (made.get_absolute_url(), at(world, "notes:handover", leg.pk)):
        assert (url in client.get(page).content.decode()) == may
    assert as_user(world.outsider).get(url).status_code == 404


def _to_dos(world: World, user: User) -> list[str]:
    member = load_member(user, world.production.pk)
    with clock.set_to(BEFORE):
        return [each.words for each in to_dos(user, [member])[world.production.pk]]


def test_what_waits_on_the_front_page(world: World, leg: Leg, made: PublishedHandover) -> None:
    crew = world.people["crew"]
    services.ask(leg=leg, user=crew, words="Which fuse?", player=None, owed_by=world.tech)
    nobody = "Nobody has read 2 sections of Handover 1; Winter starts in 4 days"
    to_read = "2 of 2 sections to read of Handover 1 for Winter"
    asked = "1 question waits for an answer, Winter"
    assert _to_dos(world, crew) == [to_read]
    assert _to_dos(world, world.tech) == [asked, to_read, nobody]
    assert _to_dos(world, world.engineer) == [nobody]
    assert _to_dos(world, world.people["manager"]) == [nobody]
    for player in (None, world.player):
        services.acknowledge(leg=leg, user=crew, player=player)
    assert _to_dos(world, crew) == []
    assert _to_dos(world, world.engineer) == []


def test_how_far_away_a_day_is() -> None:
    assert [in_days(n) for n in (-3, -1, 0, 1, 2)] == [
        "3 days ago",
        "yesterday",
        "today",
        "tomorrow",
        "in 2 days",
    ]


RACE = """
from datetime import date, timedelta
from core.models import Leg
from django.core import mail
from notes.models import Reminder
from notes.handover.publish import publish
from notes.handover.remind import remind
from tests.support.world import make_world
world = make_world()
today = date.today()
leg = Leg.objects.create(production=world.production, name="Leg", ends_on=today + timedelta(9),
                         starts_on=today + timedelta(3))
made = publish(leg=leg, by=world.engineer)
sent = []
race(lambda n: sent.extend(remind(made, by=None, base="").to), *range(6))
print(json.dumps([len(sent), Reminder.objects.count()]))
"""


@pytest.mark.django_db(transaction=True)
def test_six_who_press_at_once_send_one_mail_each(tmp_path: Path) -> None:
    assert run_alone(RACE, tmp_path) == [4, 4]
