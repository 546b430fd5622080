"""Somebody without an account is forgotten: for whom a link was made, the name that a guest typed.

Against something outside: every table is read as it is stored, by the database's own SQL, and
searched for invented names that stand nowhere else.
"""

from __future__ import annotations

import io
from datetime import date, timedelta

import pytest
from django.core.management import call_command
from django.test import Client

from core.guests.links import share
from core.models import GuestChange, GuestLink
from core.personal.store import broken_texts
from notes.forgetting.forget import forget, look
from notes.forgetting.subject import guest, musician, names_of_guests
from rigs.backline.services import save_line
from rigs.models import BacklineAnswer, BacklineLine, PatchQuestion
from tests.notes.forgetting.support import places_of
from tests.rigs.shows.shows import make_show
from tests.support.pages import as_user
from tests.support.world import World

NAME = "Quorvexa Thistlemund"
SAID = "zibberwock"
MARK = "removed on request"


def link_to(world: World, kind: str, subject, for_whom: str = NAME) -> str:
    return share(
        production=world.production,
        kind=kind,
        subject=subject,
        by=world.engineer,
        for_whom=for_whom,
        until=date.today() + timedelta(days=5),
        address="/g/{}/".format,
        may_answer=kind != "rig",
    ).url


@pytest.fixture
def written(world: World) -> World:
    """One name, wherever a guest's can stand."""
    show = make_show(world)
    line = BacklineLine(leg=show.leg, show=show, what="Bass head", wanted="Ostrander Sluice")
    save_line(line, by=world.engineer)
    firm = link_to(world, "backline", show.pk)
    offer = {"offer-0": "wanted", "offered-0": "", "about-0": "In a case.", "seen-0": "0"}
    offer |= {"line-0": str(line.pk), "guest_name": NAME}
    assert Client().post(firm, offer).status_code == 302
    house = link_to(world, "patch", show.pk, "House engineer")
    asked = {"words": f"Is it {SAID}?", "guest_name": NAME}
    assert Client().post(house, asked).status_code == 302
    return world


def test_a_guest_is_forgotten_wherever_their_name_was_typed(written: World) -> None:
    assert places_of(NAME, SAID)
    subject = guest(written.production, NAME)
    assert names_of_guests(written.production) == ["House engineer", NAME]
    told = dict(look(subject).goes)
    assert places_of(NAME), "looking removes nothing"
    forget(subject, by=written.engineer, asked_by="person", reason="Asked by letter.")
    assert not places_of(NAME, SAID)
    assert not list(broken_texts(written.production.pk))
    assert told["open links for them"] == 1
    assert told["words of questions of guests"] == 1
    assert names_of_guests(written.production) == ["House engineer"]
    assert PatchQuestion.objects.get().words.startswith(MARK)
    assert BacklineAnswer.objects.get().from_whom == "…"
    assert BacklineAnswer.objects.get().offered == "Ostrander Sluice"
    closed = GuestLink.objects.exclude(for_whom="House engineer").get()
    assert closed.withdrawn_at
    shared = as_user(written.people["manager"]).get(f"/p/{written.production.pk}/shared/")
    assert MARK in shared.content.decode()


def test_names_alone_go_and_words_stay_as_nobodys(written: World) -> None:
    subject = guest(written.production, NAME)
    forget(subject, by=None, asked_by="service", reason="Asked by letter.", words=False)
    assert not places_of(NAME)
    assert SAID in PatchQuestion.objects.get().words


def test_the_history_of_links_names_no_musician_who_was_forgotten(world: World) -> None:
    """What was shared is called after its player: “Bass main, …”."""
    link_to(world, "rig", world.rig.pk, "House engineer")
    assert world.player.name in " ".join(GuestChange.objects.get().told)
    name = world.player.name
    forget(musician(world.production, world.player), by=None, asked_by="person", reason="A letter.")
    assert "core_guestchange" not in places_of(name)
    change = GuestChange.objects.get()
    assert name not in " ".join(change.told)
    assert "House engineer" in " ".join(change.told)


def test_what_an_earlier_release_wrote_into_the_history_stays_and_is_counted(world: World) -> None:
    link_to(world, "rig", world.rig.pk)
    link = GuestLink.objects.get()
    change = GuestChange(link=link, words=[f"Shared with {NAME} until 3 Dec 2026: Bass main."])
    change.put_down(world.engineer)
    staying = dict(look(guest(world.production, NAME)).staying)
    assert staying == {"changes of links for guests": 1}


def test_a_manager_finds_the_names_and_forgets_one(written: World) -> None:
    page = f"/p/{written.production.pk}/shared/forget/"
    assert as_user(written.engineer).get(page).status_code == 403
    boss = as_user(written.people["manager"])
    assert f"?name={NAME.replace(' ', '%20')}" in boss.get(page, follow=True).content.decode()
    assert boss.get(page, {"name": "Nobody at all"}).status_code == 404
    one = f"{page}?name={NAME}"
    assert "Open links for them: 1" in boss.get(one).content.decode()
    naming = {"asked_by": "person", "reason": f"{NAME} wrote.", "sure": "on", "words": "on"}
    assert "Do not name the person here" in boss.post(one, naming).content.decode()
    done = boss.post(one, naming | {"reason": "A letter."})
    assert done.status_code == 302
    assert not places_of(NAME, SAID)


def test_who_runs_the_service_does_the_same(written: World) -> None:
    out = io.StringIO()
    place = ["--production", str(written.production.pk)]
    call_command("forget", "--guest", NAME, *place, stdout=out)
    assert "goes: open links for them: 1" in out.getvalue()
    assert places_of(NAME)
    call_command("forget", "--guest", NAME, *place, "--do", "--reason", "A letter.", stdout=out)
    assert not places_of(NAME, SAID)
