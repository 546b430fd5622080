"""Log in by e-mail, log out, and wait after too many failures."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from tests.support.pages import as_user
from tests.support.world import make_user

PASSWORD = "long-enough-1"  # of every person made by tests.support.world
LOGIN = reverse("core:login")
WRONG = "E-mail and password do not belong together. Mind capitals in the latter."


def enter(client: Client, username: str, password: str = PASSWORD, **more: str) -> Any:
    return client.post(LOGIN, {"username": username, "password": password, **more})


def test_the_address_counts_in_any_case(db: None, client: Client) -> None:
    user = make_user("Ada")
    response = enter(client, f" {user.email.upper()} ")
    assert response.headers["Location"] == "/"
    assert client.session["_auth_user_id"] == str(user.pk)


@pytest.mark.parametrize(("email", "password"), [("ada@example.org", "x"), ("no@example.org", "x")])
def test_wrong_is_wrong_whichever_it_was(
    db: None, client: Client, email: str, password: str
) -> None:
    make_user("Ada")
    response = enter(client, email, password)
    assert response.status_code == 200
    assert response.context["form"].errors == {"__all__": [WRONG]}
    assert f'value="{email}"' in response.content.decode()


def test_a_closed_account_stays_out(db: None, client: Client) -> None:
    user = make_user("Ada")
    user.is_active = False
    user.save()
    assert enter(client, user.email).context["form"].errors == {"__all__": [WRONG]}


def test_back_to_the_page_that_was_asked_for(db: None, client: Client) -> None:
    user = make_user("Ada")
    assert enter(client, user.email, next="/account/").headers["Location"] == "/account/"


def test_never_to_another_site(db: None, client: Client) -> None:
    user = make_user("Ada")
    assert enter(client, user.email, next="https://example.net/").headers["Location"] == "/"


def test_who_is_in_goes_home(db: None) -> None:
    assert as_user(make_user("Ada")).get(LOGIN).headers["Location"] == "/"


def test_log_out_is_a_post(db: None) -> None:
    client = as_user(make_user("Ada"))
    assert client.get(reverse("core:logout")).status_code == 405
    assert client.post(reverse("core:logout")).headers["Location"] == LOGIN
    assert "_auth_user_id" not in client.session


def test_too_many_failures_lock_for_a_while(db: None, client: Client, settings: Any) -> None:
    settings.AXES_ENABLED = True
    user = make_user("Ada")
    answers = [enter(client, case, "wrong") for case in [user.email, user.email.upper()] * 4]
    assert [answer.status_code for answer in answers] == [200] * 7 + [429]
    locked = enter(client, user.email)
    assert locked.status_code == 429
    assert "Locked for a while" in locked.content.decode()
    assert "_auth_user_id" not in client.session


def test_others_are_not_locked_out(db: None, client: Client, settings: Any) -> None:
    settings.AXES_ENABLED = True
    ada, bea = make_user("Ada"), make_user("Bea")
    for _ in range(8):
        enter(client, ada.email, "wrong")
    assert enter(client, bea.email).status_code == 302
