"""One's own account: the name, the password."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.core import mail
from django.test import Client
from django.urls import reverse

from core.models import User
from tests.support.pages import as_user, says
from tests.support.world import make_user

ACCOUNT = reverse("core:account")
NEW = {"new_password1": "a quiet stage", "new_password2": "a quiet stage"}


@pytest.fixture
def ada(db: None) -> User:
    return make_user("Ada")


def test_change_the_name(ada: User) -> None:
    response = as_user(ada).post(ACCOUNT, {"name": " Ada Marl "}, follow=True)
    assert says(response) == ["Your account is saved."]
    ada.refresh_from_db()
    assert ada.name == "Ada Marl"


def test_a_name_is_needed_and_the_old_one_stays_on_the_page(ada: User) -> None:
    response = as_user(ada).post(ACCOUNT, {"name": ""})
    assert response.context["form"].errors == {"name": ["This field is required."]}
    assert "Signed in as Ada" in response.content.decode()


def test_the_address_cannot_be_posted(ada: User) -> None:
    as_user(ada).post(ACCOUNT, {"name": "Ada", "email": "x@example.org", "is_staff": "on"})
    ada.refresh_from_db()
    assert (ada.email, ada.is_staff) == ("Ada@example.org".lower(), False)


def test_change_the_password(ada: User) -> None:
    client, other = as_user(ada), as_user(ada)
    response = client.post(
        reverse("core:password_change"), {"old_password": "long-enough-1", **NEW}, follow=True
    )
    assert says(response) == ["Your password is changed. Other devices are logged out."]
    ada.refresh_from_db()
    assert ada.check_password("a quiet stage")
    assert client.get(ACCOUNT).status_code == 200
    assert other.get(ACCOUNT).status_code == 302


def test_the_old_password_is_needed(ada: User) -> None:
    response = as_user(ada).post(reverse("core:password_change"), {"old_password": "x", **NEW})
    assert list(response.context["form"].errors) == ["old_password"]


def ask(client: Client, email: str) -> Any:
    return client.post(reverse("core:password_reset"), {"email": email})


def test_a_forgotten_password_is_reset_by_mail(ada: User, client: Client) -> None:
    assert ask(client, "ADA@example.org").headers["Location"] == (
        reverse("core:password_reset_done")
    )
    [letter] = mail.outbox
    assert (letter.to, letter.subject) == (["ada@example.org"], "Set a new password")
    link = re.search(r"http://testserver(/password/new/\S+)", letter.body)
    assert link is not None
    form = client.get(link[1], follow=True)
    done = client.post(form.request["PATH_INFO"], NEW, follow=True)
    assert "Your new password is set" in done.content.decode()
    ada.refresh_from_db()
    assert ada.check_password("a quiet stage")
    assert "This link is closed" in Client().get(link[1]).content.decode()


def test_nobody_learns_whether_there_is_an_account(ada: User, client: Client) -> None:
    known, unknown = ask(client, ada.email), ask(client, "nobody@example.org")
    assert known.headers["Location"] == unknown.headers["Location"]
    assert len(mail.outbox) == 1
    page = client.get(reverse("core:password_reset_done")).content.decode()
    assert "If there is an account with that address" in page


def test_a_made_up_link_is_closed(db: None, client: Client) -> None:
    response = client.get(reverse("core:password_reset_confirm", args=["MQ", "set-password"]))
    assert "This link is closed" in response.content.decode()


@pytest.mark.parametrize("name", ["account", "password_change"])
def test_nobody_is_sent_to_the_log_in(db: None, client: Client, name: str) -> None:
    url = reverse(f"core:{name}")
    assert client.get(url).headers["Location"] == f"{reverse('core:login')}?next={url}"
