"""Listening blind without an account, by a one-time link: as honest as for members."""

from __future__ import annotations

import hashlib
import html
import json
import re
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse

from core.models import Membership, OneTimeLink, Player
from core.models.roles import Role
from notes.blind import invitations
from notes.blind.services import begin, broken_sittings, open_blind
from notes.models import BlindAnswer, BlindSitting, BlindTrial
from tests.support.listening import open_a_trial
from tests.support.pages import as_user
from tests.support.sounds import as_file, bring_clip, tone
from tests.support.world import World


@pytest.fixture
def blind(world: World) -> BlindTrial:
    quiet = bring_clip(world, as_file(tone(2.0, hz=440, level=0.05)), title="Hushed")
    loud = bring_clip(world, as_file(tone(2.5, hz=660, level=0.6)), title="Loud")
    return open_blind(
        trial=open_a_trial(world),
        clip_a=quiet,
        clip_b=loud,
        rounds=5,
        listeners=2,
        by=world.engineer,
    )


@pytest.fixture
def guest(world: World) -> Player:
    return Player.objects.create(production=world.production, name="Sel Okafor")


def _token(world: World, blind: BlindTrial, guest: Player) -> str:
    return invitations.ask(blind=blind, player=guest, by=world.engineer, address=str).url


def _url(token: str) -> str:
    return reverse("notes:blind_link", args=[token])


def test_the_link_is_made_on_the_page_of_the_trial_and_shown_once(
    world: World, blind: BlindTrial, guest: Player
) -> None:
    client = as_user(world.engineer)
    ask = reverse("notes:blind_ask", args=[world.production.pk, blind.pk])
    assert ask in client.get(blind.get_absolute_url()).content.decode()
    page = client.post(ask, {"player": str(guest.pk)})
    url = html.unescape(re.findall(r'value="([^"]*/listen/[^"]*)"', page.content.decode())[0])
    assert Client().get(url).status_code == 200
    assert page.headers["Cache-Control"].startswith("max-age=0")
    # A new one closes the one before.
    client.post(ask, {"player": str(guest.pk)})
    assert Client().get(url).status_code == 404
    assert client.post(ask, {"player": "nobody"}).status_code == 400
    assert as_user(world.people[Role.CREW]).post(ask, {"player": str(guest.pk)}).status_code == 403


def test_from_the_first_page_to_the_last_round_without_an_account(
    world: World, blind: BlindTrial, guest: Player
) -> None:
    token, client = _token(world, blind, guest), Client(enforce_csrf_checks=True)
    first = client.get(_url(token))
    assert "sealed before the first sound" in first.content.decode()
    assert first.headers["Referrer-Policy"] == "no-referrer"
    # Looking draws nothing: mail scanners follow links.
    assert not BlindSitting.objects.exists()
    client.post(_url(token), {"begin": "1"})
    sitting = BlindSitting.objects.get()
    assert (sitting.user, sitting.player) == (None, guest)
    for number, drawn in enumerate(sitting.drawn, 1):
        text = client.get(_url(token)).content.decode()
        assert f"Round {number} of 5" in text
        assert sitting.seal in text
        assert sitting.nonce not in text
        for clip in (blind.clip_a, blind.clip_b):
            assert str(clip.pk) not in text
            assert str(clip) not in text
        sent = {"number": number, "x": drawn.x, "prefers": ""}
        page = client.post(_url(token), sent)
        # Sent twice, the first answer stands.
        if number == 1:
            client.post(_url(token), sent | {"x": "second" if drawn.x == "first" else "first"})
    done = page.content.decode()
    assert "5 of 5 right" in " ".join(done.split())
    assert BlindAnswer.objects.get(number=1).x == sitting.drawn[0].x
    # The seal can be worked out from what is shown at the end.
    shown = html.unescape(re.findall(r"<code>(\{.*?\})</code>", done)[0])
    assert hashlib.sha256(shown.encode()).hexdigest() == sitting.seal
    assert json.loads(shown)["nonce"] == sitting.nonce
    assert client.get(_url(token)).status_code == 404
    assert OneTimeLink.objects.get().used_at is not None
    assert list(broken_sittings()) == []


def test_a_round_that_is_not_answered_comes_back_with_what_was_chosen(
    world: World, blind: BlindTrial, guest: Player
) -> None:
    token, client = _token(world, blind, guest), Client()
    client.post(_url(token), {"begin": "1"})
    page = client.post(_url(token), {"number": 1, "prefers": "second"})
    assert page.status_code == 400
    assert page.context["form"]["prefers"].value() == "second"
    skipped = client.post(_url(token), {"number": 3, "x": "first", "prefers": ""})
    assert "not the next one" in skipped.content.decode()
    assert not BlindAnswer.objects.exists()


def test_its_sounds_are_those_of_members_and_closed_with_the_link(
    world: World, blind: BlindTrial, guest: Player
) -> None:
    token, client = _token(world, blind, guest), Client()

    def fetch(number: int, label: str) -> Any:
        return client.get(reverse("notes:blind_link_sound", args=[token, number, label]))

    assert fetch(1, "first").status_code == 404
    client.post(_url(token), {"begin": "1"})
    sounds = [fetch(1, label) for label in ("first", "second", "x")]
    assert len({len(each.content) for each in sounds}) == 1
    assert {each.headers["Cache-Control"] for each in sounds} == {"private, no-store"}
    assert fetch(6, "first").status_code == 404
    assert fetch(1, "third").status_code == 404
    OneTimeLink.objects.update(withdrawn_at="2026-01-01T00:00Z")
    assert fetch(1, "first").status_code == 404


def test_a_musician_with_an_account_is_heard_once(
    world: World, blind: BlindTrial, guest: Player
) -> None:
    member = world.people[Role.PLAYER]
    begin(blind=blind, by=member)
    own = Membership.objects.get(user=member).player
    assert own is not None
    with pytest.raises(ValidationError, match="begun already"):
        _token(world, blind, own)
    # And the other way round.
    invitations.begin(_token(world, blind, guest))
    Membership.objects.create(
        production=world.production, user=world.tech, role=Role.PLAYER, player=guest
    )
    with pytest.raises(ValidationError, match="begun already"):
        begin(blind=blind, by=world.tech)
    # Both places are taken now.
    other = Player.objects.create(production=world.production, name="Bryn Vale")
    with pytest.raises(ValidationError, match="As many have begun"):
        _token(world, blind, other)


def test_whoever_lost_the_link_goes_on_under_a_new_one(
    world: World, blind: BlindTrial, guest: Player
) -> None:
    first = invitations.begin(_token(world, blind, guest))
    again = _token(world, blind, guest)
    assert invitations.begin(again) == first
    page = as_user(world.engineer).get(blind.get_absolute_url()).content.decode()
    assert "Sel Okafor" in page
    assert "without an account" in page
