"""With no rig documented the overview says what to do first, to each role, and what is done."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest

from core.models import Leg, Membership, Player, Production, Show, User
from core.models.roles import Role
from core.services.invitations import invite
from rigs.changes.edits import Add
from rigs.models import Rig
from rigs.revisions.record import create, record
from tests.support.pages import as_user
from tests.support.world import World, make_user

RIG, UNITS = "Put the first rig on file", "Add what the player plays: units and their settings"
LIST = "Begin with the input list you have: a spreadsheet makes players, rigs and inputs"
INPUT, PHOTOS = "Say how it is picked up: the first input", "Take photos of it"
PLAYERS, OTHERS = "Add the players", "Invite the others"
TOUR = "Enter the tour: a leg and its first show"


@pytest.fixture
def new(db: None) -> Production:
    return Production.objects.create(name="Low Ferry")


def member(place: Production, *roles: str) -> User:
    user = make_user(" and ".join(roles))
    for role in roles:
        Membership.objects.create(production=place, user=user, role=role)
    return user


def steps(user: User, place: Production) -> dict[str, Any]:
    response = as_user(user).get(place.get_absolute_url())
    assert response.status_code == 200
    return {step.words: step for step in response.context["first_steps"]}


def done(user: User, place: Production) -> set[str]:
    return {words for words, step in steps(user, place).items() if step.done}


def test_the_list_ticks_itself_off_and_goes(new: Production) -> None:
    one = member(new, Role.ENGINEER, Role.MANAGER)
    assert list(steps(one, new)) == [PLAYERS, OTHERS, TOUR, LIST, RIG, UNITS, INPUT, PHOTOS]
    assert done(one, new) == set()
    player = Player.objects.create(production=new, name="Ines", instrument="bass")
    assert done(one, new) == {PLAYERS}
    invite(production=new, roles=["crew"], by=one, address=str)
    assert done(one, new) == {PLAYERS, OTHERS}
    leg = Leg.objects.create(
        production=new, name="Coast", starts_on="2027-03-01", ends_on="2027-03-09"
    )
    assert "Enter the first show" in steps(one, new)
    Show.objects.create(leg=leg, held_on="2027-03-01", room="Old Hempwalk")
    assert done(one, new) == {PLAYERS, OTHERS, "Enter the first show"}
    rig = Rig(production=new, player=player, name="Bass")
    create(rig, author=one)
    assert RIG in done(one, new)
    assert LIST not in steps(one, new)
    found = steps(one, new)
    for words, name in ((UNITS, "units/several"), (INPUT, "inputs/new"), (PHOTOS, "photos/new")):
        assert found[words].url.endswith(f"/rigs/{rig.pk}/{name}/")
    unit = Add(str(uuid4()), "unit", {"name": "Head", "gear": "cabinet"})
    rig.refresh_from_db()
    record(rig, [unit], author=one, base=rig.head_number)
    assert UNITS in done(one, new)
    rig.refresh_from_db()
    line = Add(str(uuid4()), "input", {"name": "Bass DI", "number": 1})
    record(rig, [line], author=one, base=rig.head_number)
    assert steps(one, new) == {}


@pytest.mark.parametrize(
    ("role", "own"),
    [
        (Role.ENGINEER, {PLAYERS, TOUR, LIST, RIG}),
        (Role.TECH, {PLAYERS, TOUR, LIST, RIG}),
        (Role.MANAGER, {PLAYERS, OTHERS, TOUR}),
        (Role.PLAYER, set()),
        (Role.CREW, set()),
    ],
)
def test_each_role_reads_what_is_theirs_and_who_does_the_rest(
    new: Production, role: str, own: set[str]
) -> None:
    user = member(new, role)
    found = steps(user, new)
    assert {words for words, step in found.items() if step.url} == own
    for words, step in found.items():
        if step.url:
            assert as_user(user).get(step.url).status_code == 200, words
    if not own & {RIG}:
        assert found[RIG].by == "the engineer or a backline tech"
    assert len(found) <= 8


def test_a_player_reads_whether_they_are_tied_to_their_player(new: Production) -> None:
    user = member(new, Role.PLAYER)
    tied = "Be tied to your player, so that you can sign for your sound"
    assert not steps(user, new)[tied].done
    player = Player.objects.create(production=new, name="Ines", instrument="bass")
    Membership.objects.filter(user=user).update(player=player)
    assert steps(user, new)[tied].done


def test_what_is_a_step_is_not_said_twice(new: Production) -> None:
    page = as_user(member(new, Role.MANAGER)).get(new.get_absolute_url())
    assert page.context["to_dos"] == []
    assert page.content.decode().count("Add the players") == 1


def test_a_production_with_a_rig_has_none(world: World) -> None:
    assert steps(world.engineer, world.production) == {}


def test_queries_are_fixed(new: Production, django_assert_max_num_queries: Any) -> None:
    user = member(new, Role.ENGINEER, Role.MANAGER)
    client = as_user(user)

    def count() -> int:
        with django_assert_max_num_queries(40) as asked:
            client.get(new.get_absolute_url())
        return len(asked)

    few = count()
    for number in range(12):
        Player.objects.create(production=new, name=f"Player {number}", instrument="voice")
        someone = make_user(f"Hand {number}")
        Membership.objects.create(production=new, user=someone, role=Role.CREW)
    # A player in use and somebody else in it: what the list itself asks stays the same.
    assert count() == few
