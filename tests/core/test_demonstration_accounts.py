"""The demonstration's people, whose password is public, get in nowhere in production mode."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from core.access.accounts import CLOSED
from core.models import User
from notes.demo import cast
from tests.support.api import key_of
from tests.support.pages import as_user

PEOPLE = [person.email for person in cast.PEOPLE]


@pytest.fixture
def greta(db: None) -> User:
    return User.objects.create_user(cast.ENGINEER, "Greta Sollund", cast.PASSWORD)


@pytest.fixture
def production(settings: Any) -> None:
    settings.LOCAL = False


def log_in(email: str = cast.ENGINEER) -> Any:
    return Client().post(reverse("core:login"), {"username": email, "password": cast.PASSWORD})


def api(user: User) -> int:
    headers = {"authorization": f"Token {key_of(user)}"}
    return Client(headers=headers).get("/api/v1/productions/").status_code


def test_on_one_machine_they_do(greta: User) -> None:
    assert log_in().status_code == 302
    assert api(greta) == 200


def test_in_production_they_do_not_and_are_told_why(greta: User, production: None) -> None:
    for typed in (cast.ENGINEER, cast.ENGINEER.upper(), PEOPLE[-1]):
        page = log_in(typed)
        assert page.status_code == 200
        assert str(CLOSED) in page.content.decode()


def test_nor_with_a_session_or_a_key_from_before(greta: User, settings: Any) -> None:
    client = as_user(greta)
    assert client.get("/").status_code == 200
    settings.LOCAL = False
    assert client.get("/").status_code == 302
    assert api(greta) in (401, 403)


def test_other_people_do(db: None, production: None) -> None:
    user = User.objects.create_user("nel@example.org", "Nel", cast.PASSWORD)
    assert log_in("nel@example.org").status_code == 302
    assert api(user) == 200


def test_all_of_them_are_known_by_their_address() -> None:
    from core.access.accounts import DEMONSTRATION

    assert all(email.endswith(DEMONSTRATION) for email in PEOPLE)
