"""Passkeys: made, used without typing, refused for every reason there is, removed.

The device is `soft_key`, written from the standard; the service checks with another library.
"""

from __future__ import annotations

from typing import Any

import pytest
from django.core import mail
from django.test import Client
from django.urls import reverse

from core.models import LogIn, Passkey, SecondFactor, User
from tests.core.sign_in.soft_key import SoftKey
from tests.support.pages import as_user, says
from tests.support.world import make_user

ASK, ENTER = reverse("core:passkey_ask"), reverse("core:passkey_log_in")
NEW, ADD = reverse("core:passkey_new"), reverse("core:passkey_add")
HERE = reverse("core:getting_in")


@pytest.fixture
def ada(db: None) -> User:
    return make_user("Ada")


@pytest.fixture
def key(ada: User) -> SoftKey:
    key = SoftKey()
    client = as_user(ada)
    add(client, key)
    return key


def add(client: Client, key: SoftKey) -> Any:
    answer = key.make(client.post(NEW).json())
    return client.post(ADD, {"credential": answer, "name": "my phone"}, follow=True)


def log_in(key: SoftKey, client: Client | None = None, **other: Any) -> tuple[Client, Any]:
    client = client or Client()
    answer = key.get(client.post(ASK).json(), **other)
    return client, client.post(ENTER, {"credential": answer}, follow=True)


def test_a_passkey_logs_in_without_a_name(ada: User, key: SoftKey) -> None:
    client, response = log_in(key)
    assert response.redirect_chain == [("/", 302)]
    assert client.session["_auth_user_id"] == str(ada.pk)
    row = LogIn.objects.get(user=ada, by=LogIn.By.PASSKEY)
    assert row.device == "program"
    assert Passkey.objects.get().sign_count == 1


def test_it_leads_to_the_page_that_was_asked_for_and_never_to_another_site(key: SoftKey) -> None:
    for wanted, reached in (("/account/", "/account/"), ("https://example.net/", "/")):
        client = Client()
        answer = key.get(client.post(ASK).json())
        response = client.post(ENTER, {"credential": answer, "next": wanted})
        assert response.headers["Location"] == reached


def test_what_is_asked_for(ada: User, key: SoftKey) -> None:
    """Web Authentication, 5.4 and 5.5: a key that is found without a name, by its holder alone."""
    options = as_user(ada).post(NEW).json()
    assert options["authenticatorSelection"]["residentKey"] == "required"
    assert options["authenticatorSelection"]["userVerification"] == "required"
    assert len(options["excludeCredentials"]) == 1
    asked = Client().post(ASK).json()
    assert asked["userVerification"] == "required"
    assert not asked.get("allowCredentials")
    assert asked["rpId"] == "testserver"


REFUSED = "This passkey was not taken. Try again."


@pytest.mark.parametrize(
    "change",
    [
        {"origin": "http://elsewhere.example"},
        {"host": "elsewhere.example"},
        {"verifies": False},
    ],
)
def test_an_answer_for_elsewhere_or_without_its_holder_is_refused(
    key: SoftKey, change: dict[str, Any]
) -> None:
    for name, value in change.items():
        setattr(key, name, value)
    client, response = log_in(key)
    assert says(response) == [REFUSED]
    assert "_auth_user_id" not in client.session


def test_a_signature_of_another_key_is_refused(key: SoftKey) -> None:
    other = SoftKey(id=key.id, handle=key.handle)
    assert says(log_in(other)[1]) == [REFUSED]


def test_an_answer_counts_once(key: SoftKey) -> None:
    client = Client()
    answer = key.get(client.post(ASK).json())
    assert client.post(ENTER, {"credential": answer}).headers["Location"] == "/"
    again = client.post(ENTER, {"credential": answer}, follow=True)
    assert "That took too long. Try again." in [str(m) for m in again.context["messages"]] or (
        again.redirect_chain[0][0].startswith("/login/")
    )
    other = Client()
    other.post(ASK)
    assert says(other.post(ENTER, {"credential": answer}, follow=True)) == [REFUSED]


def test_a_copy_of_a_key_is_noticed_by_its_count(key: SoftKey) -> None:
    """Web Authentication, 6.1.1: a count that does not grow is of a copy."""
    log_in(key)
    key.count = 0
    assert says(log_in(key)[1]) == [REFUSED]


def test_a_key_of_somebody_else_is_refused(key: SoftKey) -> None:
    assert says(log_in(key, userHandle=b"0123456789abcdef")[1]) == [
        "This passkey is of somebody else."
    ]


def test_a_closed_account_stays_out(ada: User, key: SoftKey) -> None:
    ada.is_active = False
    ada.save()
    client, response = log_in(key)
    assert says(response) == ["This account was closed."]
    assert "_auth_user_id" not in client.session


@pytest.mark.parametrize("answer", ["", "{", "[]", '{"id": "x"}', '{"id": 1, "response": {}}'])
def test_nonsense_is_no_error_of_the_service(key: SoftKey, answer: str) -> None:
    client = Client()
    client.post(ASK)
    response = client.post(ENTER, {"credential": answer}, follow=True)
    assert response.status_code == 200
    assert len(says(response)) == 1


def test_a_passkey_is_made_once(ada: User, key: SoftKey) -> None:
    assert says(add(as_user(ada), key)) == ["This passkey is known already."]
    assert Passkey.objects.count() == 1


def test_it_needs_a_name(ada: User) -> None:
    client = as_user(ada)
    answer = SoftKey().make(client.post(NEW).json())
    assert (
        not client.post(ADD, {"credential": answer, "name": " "}).wsgi_request.POST["name"].strip()
    )
    assert not Passkey.objects.exists()


def test_removed_it_opens_nothing(
    ada: User, key: SoftKey, django_capture_on_commit_callbacks: Any
) -> None:
    client = as_user(ada)
    url = reverse("core:passkey_remove", args=[Passkey.objects.get().pk])
    with django_capture_on_commit_callbacks(execute=True):
        client.post(url)
    assert mail.outbox[-1].subject == "A passkey was removed"
    _, response = log_in(key)
    assert says(response)[0].startswith("This passkey is not known here")


def test_nobody_removes_that_of_another(key: SoftKey) -> None:
    client = as_user(make_user("Bea"))
    client.post(reverse("core:passkey_remove", args=[Passkey.objects.get().pk]))
    assert Passkey.objects.count() == 1


def test_a_passkey_needs_no_code(ada: User, key: SoftKey) -> None:
    from core.sign_in import codes

    SecondFactor.objects.create(user=ada, sealed=codes.seal("A" * 32))
    client, _ = log_in(key)
    assert client.session["_auth_user_id"] == str(ada.pk)
