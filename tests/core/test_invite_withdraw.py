"""Withdraw an invitation."""

from __future__ import annotations

from uuid import uuid4

import pytest

from core.links import LinkClosed, make_link
from core.models import OneTimeLink
from core.services import invitations
from tests.support.pages import as_user, at, says
from tests.support.world import World, make_world

CLOSED = ["That invitation was used or withdrawn before, or never was."]


def invited(world: World) -> tuple[OneTimeLink, str]:
    tokens: list[str] = []
    made = invitations.invite(
        production=world.production,
        roles=["crew"],
        by=world.people["manager"],
        address=lambda token: tokens.append(token) or "",
    )
    return made.link, tokens[0]


def test_its_link_opens_nothing_any_more(world: World) -> None:
    link, token = invited(world)
    client = as_user(world.people["manager"])
    response = client.post(at(world, "core:invite_withdraw", link.pk), follow=True)
    assert says(response) == ["The invitation is withdrawn. Its link opens nothing any more."]
    assert response.redirect_chain == [(at(world, "core:people"), 302)]
    with pytest.raises(LinkClosed):
        invitations.look_up(token)


def test_twice_says_so(world: World) -> None:
    link, _ = invited(world)
    client, url = as_user(world.people["manager"]), at(world, "core:invite_withdraw", link.pk)
    client.post(url)
    assert says(client.post(url, follow=True))[-1:] == CLOSED


def test_links_of_others_stay_open(world: World) -> None:
    elsewhere, _ = invited(make_world("Elsewhere"))
    signature, _ = make_link(
        production=world.production,
        purpose=OneTimeLink.Purpose.SIGNATURE,
        details={},
        made_by=world.engineer,
        days=3,
    )
    for pk in (elsewhere.pk, signature.pk, uuid4()):
        client = as_user(world.people["manager"])
        response = client.post(at(world, "core:invite_withdraw", pk), follow=True)
        assert says(response) == CLOSED
    assert OneTimeLink.objects.filter(withdrawn_at=None).count() == 2


def test_only_managers_and_only_by_post(world: World) -> None:
    link, _ = invited(world)
    url = at(world, "core:invite_withdraw", link.pk)
    assert as_user(world.engineer).post(url).status_code == 403
    assert as_user(world.outsider).post(url).status_code == 404
    assert as_user(world.people["manager"]).get(url).status_code == 405
    link.refresh_from_db()
    assert link.is_open
