"""Home shows the productions one is in, and what waits there."""

from __future__ import annotations

from typing import Any

from django.urls import reverse

from core.services.productions import create_production
from tests.support.pages import as_user, queries_of
from tests.support.world import World, make_user

HOME = reverse("core:home")


def test_no_production_says_how_to_get_one(db: None) -> None:
    page = as_user(make_user("New")).get(HOME).content.decode()
    assert "You are in no production yet" in page
    assert "ask its production manager for an invitation" in page
    assert f'href="{reverse("core:production_new")}"' in page


def test_one_production_with_roles(world: World) -> None:
    page = as_user(world.engineer).get(HOME).content.decode()
    assert "The Long Quiet" in page
    assert "You are FOH engineer here." in page


def test_what_waits_in_a_new_production(db: None) -> None:
    user = make_user("Starter")
    production = create_production(name="Tanglewharf", by=user, roles=["tech"])
    page = as_user(user).get(HOME)
    assert "You are backline tech, production manager here." in page.content.decode()
    words = [to_do.words for to_do in page.context["places"][0]["to_dos"]]
    assert words == ["Add the players", "Invite the others"]
    assert reverse("core:players_several", args=[production.pk]) in page.content.decode()


def test_other_peoples_productions_are_not_there(world: World) -> None:
    assert "The Long Quiet" not in as_user(world.outsider).get(HOME).content.decode()


def test_nobody_is_sent_to_the_log_in(client: Any) -> None:
    assert client.get(HOME).headers["Location"] == f"{reverse('core:login')}?next=/"


def test_queries_do_not_grow(db: None) -> None:
    user = make_user("Busy")
    client = as_user(user)
    create_production(name="First", by=user)
    one = queries_of(client, HOME)
    for number in range(9):
        create_production(name=f"Act {number}", by=user)
    assert queries_of(client, HOME) == one
    assert len(client.get(HOME).context["places"]) == 10
