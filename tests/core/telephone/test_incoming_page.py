"""The forms that take what a telephone shared: those that their reader may send."""

from __future__ import annotations

import re

import pytest

from core.models import Membership, Player
from core.models.roles import Role
from rigs.changes.edits import Set
from tests.support.pages import as_user, at, queries_of
from tests.support.world import World, make_rig, make_world

INCOMING = "/incoming/"
TAKERS = {"note": "notes:note_new", "photos": "rigs:photo_new", "clip": "notes:clip_new"}


def offered(world: World, role: str) -> set[str]:
    page = as_user(world.people[role]).get(INCOMING).content.decode()
    links = set(re.findall(r'href="([^"]*)" data-taker', page))
    urls = {at(world, name, world.rig.pk): key for key, name in TAKERS.items()}
    assert links <= set(urls)
    return {urls[link] for link in links}


@pytest.mark.parametrize(
    ("role", "forms"),
    [
        (Role.ENGINEER, {"note", "photos", "clip"}),
        (Role.TECH, {"note", "photos", "clip"}),
        (Role.CREW, set()),
    ],
)
def test_a_role_is_offered_what_it_may_send(world: World, role: str, forms: set[str]) -> None:
    assert offered(world, role) == forms


@pytest.mark.parametrize("role", Role.values)
def test_what_is_offered_opens(world: World, role: str) -> None:
    client = as_user(world.people[role])
    for key in offered(world, role):
        assert client.get(at(world, TAKERS[key], world.rig.pk)).status_code == 200


def test_each_named_field_is_on_its_form(world: World) -> None:
    client = as_user(world.tech)
    page = client.get(INCOMING).content.decode()
    takers = re.findall(
        r'href="([^"]*)" data-taker data-picture="(\w*)"\s+data-sound="(\w*)" data-words="(\w*)"',
        page,
    )
    assert len(takers) == 3
    for url, *fields in takers:
        form = client.get(url).content.decode()
        for name in filter(None, fields):
            assert re.search(rf'<(input|textarea)[^>]* name="{name}"', form), (url, name)
        # Without this the draft would be put back without its files.
        assert "data-draft-files" in form


def test_several_productions_stand_apart_and_others_are_not_there(world: World) -> None:
    own, others = make_world("Elsewhere"), make_world("Not mine")
    Membership.objects.create(production=own.production, user=world.tech, role=Role.TECH)
    page = as_user(world.tech).get(INCOMING).content.decode()
    for each in (world, own):
        assert f"Put it into a form: {each.production}" in page
        assert at(each, "notes:note_new", each.rig.pk) in page
    assert str(others.production.pk) not in page


def test_in_no_production_it_says_so(world: World) -> None:
    page = as_user(world.outsider).get(INCOMING).content.decode()
    assert "You are in no production in which you write notes or change rigs." in page


def test_more_rigs_cost_no_more_queries(world: World) -> None:
    client = as_user(world.tech)
    before = queries_of(client, INCOMING)
    player = Player.objects.create(production=world.production, name="Maud", instrument="drums")
    for number in range(4):
        make_rig(world.production, player, world.tech, name=f"Kit {number}")
    assert queries_of(client, INCOMING) == before


def test_retired_rigs_are_not_offered(world: World) -> None:
    world.record(Set(str(world.rig.pk), "rig", {"retired": True}))
    assert offered(world, Role.TECH) == set()


def test_what_could_not_be_held_is_said_on_the_same_page(world: World) -> None:
    response = as_user(world.tech).get(f"{INCOMING}?not_taken")
    assert response.headers["No-Vary-Search"] == 'params=("not_taken")'
    assert "It is still where you shared it from." in " ".join(response.content.decode().split())
