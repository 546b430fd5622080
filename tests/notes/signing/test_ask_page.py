"""Asking a player: the link is shown once, as text and as a square to scan."""

from __future__ import annotations

import hashlib
import re
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from core import clock
from core.models import OneTimeLink
from notes.models import SignRequest
from tests.support.pages import as_user, at, says
from tests.support.world import World


def _url(world: World) -> str:
    return at(world, "notes:ask_signature", world.rig.pk)


def _ask(world: World, who: str = "engineer", revision: int = 1) -> Any:
    return as_user(world.people[who]).post(_url(world), {"revision": revision})


def test_the_link_is_shown_once_and_only_its_digest_is_kept(world: World) -> None:
    response = _ask(world)
    token = re.search(r"http://testserver/sign/([\w-]+)/", response.content.decode())
    assert token
    link = OneTimeLink.objects.get()
    assert link.digest == hashlib.sha256(token[1].encode()).hexdigest()
    assert token[1] not in str(link.details)
    assert "no-store" in response.headers["Cache-Control"]
    assert token[1] not in as_user(world.engineer).get(_url(world)).content.decode()


def test_the_link_is_for_one_player_and_one_state_for_14_days(world: World) -> None:
    world.turn("3:00")
    asked_at = datetime(2026, 9, 10, 15, tzinfo=UTC)
    with clock.set_to(asked_at):
        _ask(world, revision=2)
    request = SignRequest.objects.get()
    assert (request.player, request.revision.number) == (world.player, 2)
    assert request.link.expires_at == asked_at + timedelta(days=14)


def test_the_square_is_drawn_without_styles_or_scripts(world: World) -> None:
    page = _ask(world).content.decode()
    square = page[page.index('<svg viewBox="0 0 ') : page.index("</figure>")]
    assert "style=" not in square
    assert "The link, to be scanned with a phone" in square


def test_asking_under_an_older_state_makes_no_link_but_shows_what_changed(world: World) -> None:
    world.turn("3:00")
    response = _ask(world, revision=1)
    assert "Someone changed it since you opened this page" in response.content.decode()
    assert response.context["form"]["revision"].value() == 2
    assert not OneTimeLink.objects.exists()


def test_withdrawing_closes_the_link(world: World) -> None:
    _ask(world)
    client, url = as_user(world.tech), at(world, "notes:ask_withdraw", world.rig.pk)
    client.post(url)
    assert not OneTimeLink.objects.get().is_open
    client.post(url)
    said = [str(m) for m in client.get(_url(world)).context["messages"]]
    assert said == [
        "The link is closed. It opens nothing any more.",
        "No link was open: it was used, closed before, or never made.",
    ]


@pytest.mark.parametrize("who", ["player", "crew", "manager"])
def test_only_engineer_and_tech_ask(world: World, who: str) -> None:
    assert _ask(world, who).status_code == 403
    client = as_user(world.people[who])
    assert client.get(_url(world)).status_code == 403
    assert client.post(at(world, "notes:ask_withdraw", world.rig.pk)).status_code == 403


def test_outsiders_find_nothing(world: World) -> None:
    client = as_user(world.outsider)
    assert client.get(_url(world)).status_code == 404
    assert client.post(_url(world), {"revision": 1}).status_code == 404


@pytest.mark.parametrize("revision", ["", "x", "-1"])
def test_a_revision_that_is_none_makes_no_link(world: World, revision: str) -> None:
    response = as_user(world.engineer).post(_url(world), {"revision": revision})
    assert response.status_code == 200
    assert not OneTimeLink.objects.exists()
    assert says(response) == []
