"""A shortcut of the app's icon leads where its presser can go on."""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.conf import settings

from core import clock
from core.models import Membership, Show
from core.models.roles import Role
from tests.rigs.shows.shows import make_show
from tests.support.pages import as_user, at
from tests.support.world import World, make_world

EVENING = datetime(2026, 9, 4, 21, 0, tzinfo=ZoneInfo(settings.TIME_ZONE))


@pytest.fixture
def show(world: World) -> Show:
    return make_show(world)  # on 4 September 2026


def led_to(world: World, shortcut: str, role: str = Role.TECH) -> str:
    response = as_user(world.people[role]).get(f"/go/{shortcut}/")
    assert response.status_code == 302
    return str(response.headers["Location"])


def test_a_note_begins_with_the_choice_of_a_rig(world: World) -> None:
    assert led_to(world, "note") == at(world, "notes:note_start")


def test_of_several_productions_one_is_chosen(world: World) -> None:
    other = make_world("Elsewhere")
    Membership.objects.create(production=other.production, user=world.tech, role=Role.TECH)
    page = as_user(world.tech).get("/go/note/").content.decode()
    assert at(world, "notes:note_start") in page
    assert at(other, "notes:note_start") in page


def test_whoever_writes_no_notes_is_told(world: World) -> None:
    crew = as_user(world.people[Role.CREW])
    page = crew.get("/go/note/", follow=True)
    assert page.redirect_chain == [("/", 302)]
    assert "You are in no production in which you write notes." in page.content.decode()


@pytest.mark.parametrize(
    ("role", "name"), [(Role.TECH, "notes:line_check"), (Role.PLAYER, "core:show_set")]
)
def test_the_next_show_opens_at_what_one_does_there(
    world: World, show: Show, role: str, name: str
) -> None:
    with clock.set_to(EVENING - timedelta(days=3)):
        assert led_to(world, "show", role) == at(world, name, show.pk)


def test_a_show_lasts_until_six_in_the_morning(world: World, show: Show) -> None:
    after = make_show(world, room="The Sluice")
    Show.objects.filter(pk=after.pk).update(held_on=EVENING.date() + timedelta(days=1))
    with clock.set_to(EVENING + timedelta(hours=8)):  # five o'clock
        assert led_to(world, "show") == at(world, "notes:line_check", show.pk)
    with clock.set_to(EVENING + timedelta(hours=10)):
        assert led_to(world, "show") == at(world, "notes:line_check", after.pk)


def test_without_a_show_to_come_it_says_so(world: World, show: Show) -> None:
    with clock.set_to(EVENING + timedelta(days=30)):
        page = as_user(world.tech).get("/go/show/", follow=True).content.decode()
    assert "No show is still to come in your productions." in page


def test_another_productions_show_is_nobodys_next(world: World, show: Show) -> None:
    with clock.set_to(EVENING - timedelta(days=1)):
        page = as_user(world.outsider).get("/go/show/", follow=True)
    assert page.redirect_chain == [("/", 302)]


def test_a_shortcut_that_is_none_is_not_there(world: World) -> None:
    assert as_user(world.tech).get("/go/nowhere/").status_code == 404
