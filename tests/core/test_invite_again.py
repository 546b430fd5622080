"""An invitation is made again: a new link for the same, and the old one opens nothing."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import Any

import pytest
from django.core import mail
from django.test import Client

from core import clock
from core.models import OneTimeLink
from tests.support.pages import as_user, at, says
from tests.support.world import World


def link_on(response: Any) -> str:
    found = re.search(r'value="http://testserver(/join/[^"]+)"', response.content.decode())
    assert found, response.content.decode()
    return found[1]


def invited(world: World, **data: Any) -> str:
    client = as_user(world.people["manager"])
    return link_on(client.post(at(world, "core:invite"), {"roles": ["crew"], **data}))


def again(world: World, role: str = "manager") -> Any:
    link = OneTimeLink.objects.filter(used_at=None).latest("made_at")
    return as_user(world.people[role]).post(at(world, "core:invite_again", link.pk))


def test_the_new_link_lets_in_as_the_old_one_did_and_that_one_nobody(world: World) -> None:
    old = invited(world, roles=["player"], player=world.player.pk)
    response = again(world)
    new = link_on(response)
    assert "The one made before opens nothing any more." in response.content.decode()
    assert "no-store" in response.headers["Cache-Control"]
    assert new != old
    assert Client().get(old).status_code == 404
    page = Client().get(new)
    assert page.status_code == 200
    assert page.context["offer"].role_names == ["player"]
    assert page.context["offer"].player == world.player


def test_it_is_mailed_where_the_first_one_was(world: World) -> None:
    invited(world, email="nel@example.org")
    new = link_on(again(world))
    assert [letter.to for letter in mail.outbox] == [["nel@example.org"]] * 2
    assert new in mail.outbox[1].body


def test_one_whose_time_ran_out_is_still_listed_and_made_again(world: World) -> None:
    with clock.set_to(clock.now() - timedelta(days=30)):
        old = invited(world)
    page = as_user(world.people["manager"]).get(at(world, "core:people")).content.decode()
    assert "ran out on" in page
    assert Client().get(old).status_code == 404
    assert Client().get(link_on(again(world))).status_code == 200


def test_one_that_was_used_or_withdrawn_stays_closed(world: World) -> None:
    for closed in ("used_at", "withdrawn_at"):
        invited(world)
        link = OneTimeLink.objects.latest("made_at")
        OneTimeLink.objects.filter(pk=link.pk).update(**{closed: clock.now()})
        client = as_user(world.people["manager"])
        response = client.post(at(world, "core:invite_again", link.pk), follow=True)
        assert says(response) == [
            "That invitation was used or withdrawn before, or never was.",
        ]
    assert OneTimeLink.objects.count() == 2


def test_the_links_of_players_are_none_of_it(world: World) -> None:
    ask = at(world, "notes:ask_signature", world.rig.pk)
    as_user(world.engineer).post(ask, {"revision": 1})
    assert again(world).status_code == 302
    assert OneTimeLink.objects.get().is_open


@pytest.mark.parametrize("role", ["engineer", "tech", "player", "crew"])
def test_only_managers(world: World, role: str) -> None:
    invited(world)
    assert again(world, role).status_code == 403
    assert OneTimeLink.objects.get().is_open
