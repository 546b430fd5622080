"""Invite somebody: the link is shown once, and mailed if there is an address."""

from __future__ import annotations

from typing import Any

import pytest
from django.core import mail
from django.core.mail.backends.locmem import EmailBackend
from django.db import connection

from core.models import OneTimeLink
from core.services.invitations import invite
from core.services.members import NoRoles
from tests.support.pages import as_user, at
from tests.support.world import World


def post(world: World, role: str = "manager", **data: Any) -> Any:
    return as_user(world.people[role]).post(at(world, "core:invite"), data)


def test_shows_a_link_that_is_kept_nowhere(world: World) -> None:
    response = post(world, roles=["crew"])
    url = response.context["made"].url
    assert f'value="{url}"' in response.content.decode()
    assert url.startswith("http://testserver/join/")
    token = url.rstrip("/").rpartition("/")[2]
    assert token not in str(OneTimeLink.objects.values().get())
    assert "no-store" in response.headers["Cache-Control"]
    assert mail.outbox == []


def test_mails_the_link(world: World) -> None:
    response = post(
        world, roles=["player", "crew"], player=world.player.pk, email="Nel@Example.org"
    )
    assert response.context["made"].mailed is True
    [letter] = mail.outbox
    manager = world.people["manager"]
    assert letter.to == ["Nel@Example.org"]
    assert letter.subject == f"{manager.name} invites you to The Long Quiet"
    assert response.context["made"].url in letter.body
    assert "as player, crew." in letter.body
    details = OneTimeLink.objects.get().details
    assert details == {
        "roles": ["player", "crew"],
        "player": str(world.player.pk),
        "email": "Nel@Example.org",
    }


def test_a_name_cannot_add_a_header_to_the_mail(world: World) -> None:
    world.production.name = "Quiet\nBcc: all@example.org"
    world.production.save()
    post(world, roles=["crew"], email="nel@example.org")
    assert mail.outbox[0].subject.endswith("invites you to Quiet Bcc: all@example.org")


def test_a_mail_that_fails_leaves_the_link(world: World, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(self: EmailBackend, letters: object) -> int:
        raise ConnectionRefusedError

    monkeypatch.setattr(EmailBackend, "send_messages", fail)
    response = post(world, roles=["crew"], email="nel@example.org")
    assert "The mail could not be sent" in response.content.decode()
    assert OneTimeLink.objects.get().is_open


@pytest.mark.parametrize(
    ("data", "errors"),
    [
        ({}, {"roles": ["Choose at least one role."]}),
        ({"roles": ["crew"], "email": "nel"}, {"email": ["Enter a valid email address."]}),
        (
            {"roles": ["singer"]},
            {"roles": ["Select a valid choice. singer is not one of the available choices."]},
        ),
    ],
)
def test_says_what_is_wrong(world: World, data: Any, errors: Any) -> None:
    response = post(world, **data)
    assert response.status_code == 200
    assert response.context["form"].errors == errors
    assert not OneTimeLink.objects.exists()


def test_a_player_without_the_role_is_refused(world: World) -> None:
    form = post(world, roles=["crew"], player=world.player.pk).context["form"]
    assert form.errors == {"player": ["Tick the role “player” as well, or choose nobody here."]}


@pytest.mark.parametrize("role", ["engineer", "tech", "player", "crew"])
def test_only_managers_invite(world: World, role: str) -> None:
    assert post(world, role, roles=["crew"]).status_code == 403
    assert not OneTimeLink.objects.exists()


def test_outsider_gets_404(world: World) -> None:
    assert as_user(world.outsider).get(at(world, "core:invite")).status_code == 404


def test_service_refuses_an_invitation_to_nothing(world: World) -> None:
    with pytest.raises(NoRoles):
        invite(production=world.production, roles=[], by=world.engineer, address=str)


def test_a_mail_goes_out_after_the_invitation_is_on_record(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Also for a program that sends a key: what was mailed must not be rolled back."""
    around: list[int] = []

    def send(self: EmailBackend, letters: list[object]) -> int:
        around.append(len(connection.savepoint_ids))
        return len(letters)

    monkeypatch.setattr(EmailBackend, "send_messages", send)
    client = as_user(world.people["manager"])
    outside = len(connection.savepoint_ids)
    response = client.post(
        at(world, "core:invite"),
        {"roles": ["crew"], "email": "nel@example.org"},
        headers={"Idempotency-Key": '"0f1e2d3c-invite-01"'},
    )
    assert response.context["made"].mailed is True
    assert around == [outside]
    assert OneTimeLink.objects.get().is_open
