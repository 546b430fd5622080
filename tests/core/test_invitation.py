"""Follow an invitation: a GET changes nothing, a POST joins once."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from core.models import Membership, OneTimeLink, Player, User
from core.services.invitations import AddressTaken, accept_as_new_person, invite
from tests.support.pages import as_user, at, says
from tests.support.world import World

NEW = {"name": "Nel Varga", "email": "Nel@Example.org", "password": "a quiet stage"}


def join(world: World, *roles: str, player: Player | None = None) -> str:
    made = invite(
        production=world.production,
        roles=roles or ["crew"],
        by=world.people["manager"],
        address=lambda token: reverse("core:invitation", args=[token]),
        player=player,
        email="nel@example.org",
    )
    return made.url


def roles_of(world: World, user: User) -> set[str]:
    return set(
        Membership.objects.filter(production=world.production, user=user).values_list(
            "role", flat=True
        )
    )


def test_looking_changes_nothing(world: World, client: Client) -> None:
    url = join(world, "player", player=world.player)
    before = OneTimeLink.objects.values().get()
    page = client.get(url).content.decode()
    assert client.head(url).status_code == 200
    assert OneTimeLink.objects.values().get() == before
    assert "Join The Long Quiet" in page
    assert "(Ines Halloran, bass)" in page
    assert 'value="nel@example.org"' in page


def test_a_new_person_gets_an_account_and_is_in(world: World, client: Client) -> None:
    response = client.post(join(world), NEW, follow=True)
    assert response.redirect_chain == [(at(world, "core:production"), 302)]
    assert says(response) == ["Welcome to The Long Quiet."]
    user = User.objects.get(email="nel@example.org")
    assert user.name == "Nel Varga"
    assert user.check_password("a quiet stage")
    assert roles_of(world, user) == {"crew"}
    assert response.context["request"].user == user


def test_the_link_works_once(world: World, client: Client) -> None:
    url = join(world)
    client.post(url, NEW)
    again = Client().post(url, {**NEW, "email": "other@example.org"})
    assert again.status_code == 404
    assert "This invitation is closed" in again.content.decode()
    assert not User.objects.filter(email="other@example.org").exists()


def test_a_known_person_joins_and_keeps_roles(world: World) -> None:
    url = join(world, "player", player=world.player)
    client = as_user(world.people["tech"])
    assert "Join as" in client.get(url).content.decode()
    assert roles_of(world, world.tech) == {"tech"}
    client.post(url)
    assert roles_of(world, world.tech) == {"tech", "player"}
    membership = Membership.objects.get(user=world.tech, role="player")
    assert membership.player == world.player


def test_an_outsider_is_no_outsider_afterwards(world: World) -> None:
    client = as_user(world.outsider)
    assert client.get(at(world, "core:production")).status_code == 404
    client.post(join(world))
    assert client.get(at(world, "core:production")).status_code == 200


def test_an_address_with_an_account_has_to_log_in(world: World, client: Client) -> None:
    url = join(world)
    response = client.post(url, {**NEW, "email": world.engineer.email.upper()})
    assert response.context["form"].errors == {
        "email": ["There is an account with this e-mail address. Log in to join with it."]
    }
    assert OneTimeLink.objects.get().is_open


@pytest.mark.parametrize(
    ("changed", "errors"),
    [
        (
            {"password": "short"},
            {"password": ["This password is too short. It must contain at least 12 characters."]},
        ),
        (
            {"password": "administrator"},
            {
                "password": [
                    "Many people have this password, or it is one of theirs with something added."
                ]
            },
        ),
        ({"name": ""}, {"name": ["This field is required."]}),
        ({"email": "nel"}, {"email": ["Enter a valid email address."]}),
    ],
)
def test_a_rejected_form_keeps_the_link_and_what_was_typed(
    world: World, client: Client, changed: Any, errors: Any
) -> None:
    response = client.post(join(world), NEW | changed)
    assert response.status_code == 200
    assert response.context["form"].errors == errors
    assert (NEW | changed)["email"] in response.content.decode()
    assert OneTimeLink.objects.get().is_open
    assert not User.objects.filter(name="Nel Varga").exists()


def test_an_unknown_link_is_closed(db: None, client: Client) -> None:
    response = client.get(reverse("core:invitation", args=["no-such-token"]))
    assert response.status_code == 404
    assert "This invitation is closed" in response.content.decode()


def test_service_refuses_a_taken_address(world: World) -> None:
    with pytest.raises(AddressTaken):
        accept_as_new_person(token="x", email=world.tech.email, name="N", password="p")
