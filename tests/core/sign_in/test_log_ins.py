"""Log-ins: listed, ended by their owner, ended by time; mails about what is new."""

from __future__ import annotations

from datetime import timedelta
from importlib import import_module
from typing import Any

import pytest
from django.apps import apps
from django.contrib.sessions.backends.db import SessionStore as OldStore
from django.contrib.sessions.models import Session
from django.core import mail
from django.test import Client
from django.urls import reverse

from core import clock
from core.links import make_link
from core.models import DoneRequest, LogIn, OneTimeLink, User
from core.services import tokens
from core.sign_in.middleware import EVERY
from core.sign_in.sessions import IDLE, digest_of
from tests.support.pages import as_user, says
from tests.support.world import World, make_user

LOGIN, HERE = reverse("core:login"), reverse("core:getting_in")
PHONE = "Mozilla/5.0 (Linux) Mobile"
DESK = "Mozilla/5.0 (Linux)"
PASSWORD = "long-enough-1"


@pytest.fixture
def ada(db: None) -> User:
    return make_user("Ada")


def enter(person: User, agent: str = PHONE, client: Client | None = None) -> Client:
    client = client or Client()
    given = {"username": person.email, "password": PASSWORD}
    assert client.post(LOGIN, given, headers={"user-agent": agent}).status_code == 302
    return client


def test_each_is_listed_in_plain_words(ada: User) -> None:
    phone, _desk = enter(ada), enter(ada, DESK)
    page = phone.get(HERE)
    listed = page.context["log_ins"]
    assert {each.device for each in listed} == {"phone", "computer or tablet"}
    [this] = [each for each in listed if each.pk == page.context["this_one"]]
    assert this.device == "phone"
    assert "by password" in page.content.decode()


def test_one_is_ended_and_the_others_go_on(ada: User) -> None:
    phone, desk, third = enter(ada), enter(ada, DESK), enter(ada)
    row = LogIn.objects.get(device="computer or tablet")
    response = phone.post(reverse("core:log_in_end", args=[row.pk]), follow=True)
    assert says(response) == ["That log-in is ended."]
    assert [c.get(HERE).status_code for c in (phone, desk, third)] == [200, 302, 200]


def test_all_others_are_ended(ada: User) -> None:
    phone, desk = enter(ada), enter(ada, DESK)
    other = enter(make_user("Bea"))
    phone.post(reverse("core:log_ins_end_others"))
    assert [c.get(HERE).status_code for c in (phone, desk, other)] == [200, 302, 200]


def test_nobody_ends_that_of_another(ada: User) -> None:
    phone = enter(ada)
    row = LogIn.objects.get(user=ada)
    as_user(make_user("Bea")).post(reverse("core:log_in_end", args=[row.pk]))
    assert phone.get(HERE).status_code == 200


def test_the_database_does_not_hold_what_the_browser_has(ada: User) -> None:
    client = enter(ada)
    key = client.cookies["sessionid"].value
    assert list(LogIn.objects.values_list("pk", flat=True)) == [digest_of(key)]
    other = Client()
    other.cookies["sessionid"] = digest_of(key)
    assert other.get(HERE).status_code == 302


def test_a_log_in_ends_by_time(ada: User, settings: Any) -> None:
    client = enter(ada)
    now = clock.now()
    LogIn.objects.update(used_at=now - IDLE)
    assert client.get(HERE).status_code == 302
    client = enter(ada)
    whole = timedelta(seconds=settings.SESSION_COOKIE_AGE)
    LogIn.objects.update(began_at=now - whole, used_at=now)
    assert client.get(HERE).status_code == 302


def test_its_use_is_put_down_now_and_then(ada: User) -> None:
    client = enter(ada)
    before = clock.now() - EVERY - timedelta(seconds=1)
    LogIn.objects.update(used_at=before, began_at=before)
    client.get(HERE)
    first = LogIn.objects.get().used_at
    assert first > before
    client.get(HERE)
    assert LogIn.objects.get().used_at == first
    assert LogIn.objects.get().began_at == before


def test_a_new_password_ends_the_others(ada: User) -> None:
    phone, _desk = enter(ada), enter(ada, DESK)
    new = "a quiet stage at noon"
    given = {"old_password": PASSWORD, "new_password1": new, "new_password2": new}
    phone.post(reverse("core:password_change"), given)
    assert LogIn.objects.filter(user=ada).count() == 1
    assert phone.get(HERE).status_code == 200


def test_what_decides_who_gets_in_asks_once_more(ada: User) -> None:
    phone, desk = enter(ada), enter(ada, DESK)
    long_ago(phone)
    asked = phone.post(reverse("core:log_ins_end_others"))
    assert asked.headers["Location"] == f"{reverse('core:confirm')}?next=/account/getting-in/"
    assert desk.get(HERE).status_code == 200
    told = phone.post(reverse("core:passkey_new"))
    assert (told.status_code, told.json()["go_to"]) == (
        409,
        asked.headers["Location"].replace("%2F", "/"),
    )


def long_ago(client: Client) -> None:
    """As if its person had not said who they are for a while."""
    old = clock.now() - timedelta(minutes=16)
    LogIn.objects.update(began_at=old)
    session = client.session
    session["confirmed_at"] = old.timestamp()
    session.save()


def test_so_does_a_new_key_of_the_api(ada: User) -> None:
    phone, page = enter(ada), reverse("core:token")
    long_ago(phone)
    asked = phone.post(page)
    assert asked.headers["Location"] == f"{reverse('core:confirm')}?next={page}"
    assert tokens.held(ada) is None
    phone.post(asked.headers["Location"], {"password": PASSWORD, "next": page})
    assert phone.post(page).status_code == 200
    assert tokens.held(ada)


def test_whoever_says_it_once_more_goes_on_under_a_new_key(ada: User) -> None:
    """OWASP ASVS 5.0.0, 7.2.4."""
    phone = enter(ada)
    before = phone.cookies["sessionid"].value
    phone.post(reverse("core:confirm"), {"password": PASSWORD})
    assert phone.cookies["sessionid"].value != before
    assert phone.get(HERE).status_code == 200
    other = Client()
    other.cookies["sessionid"] = before
    assert other.get(HERE).status_code == 302


@pytest.mark.parametrize("name", ["core:confirm", "core:password_change"])
def test_wrong_passwords_count_there_whatever_key_the_form_has(
    ada: User, settings: Any, name: str
) -> None:
    settings.AXES_ENABLED = True
    phone, new = enter(ada), "a quiet stage at noon"
    wrong = {"password": "x", "old_password": "x", "new_password1": new, "new_password2": new}
    said = [
        phone.post(reverse(name), {**wrong, "request_key": f"a-key-of-{n:03}"}).status_code
        for n in range(8)
    ]
    assert said == [200] * 7 + [429]


def test_no_quick_digest_of_a_password_is_kept(ada: User) -> None:
    phone, new = enter(ada), "a quiet stage at noon"
    given = {"password": PASSWORD, "request_key": "the-key-of-a-page"}
    assert phone.post(reverse("core:confirm"), given).status_code == 302
    given = {"old_password": PASSWORD, "new_password1": new, "new_password2": new}
    given["request_key"] = "the-key-of-another"
    assert phone.post(reverse("core:password_change"), given).status_code == 302
    assert not DoneRequest.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_new_devices_keys_and_links_are_told_by_mail() -> None:
    ada = make_user("Ada")
    client = enter(ada)
    assert [m.subject for m in mail.outbox] == ["A log-in from a new device"]
    assert mail.outbox[0].to == [ada.email]
    assert "by password, from a phone" in mail.outbox[0].body
    client.post(reverse("core:logout"))
    enter(ada, client=client)
    assert len(mail.outbox) == 1, "the same device again"
    enter(ada, DESK)
    assert len(mail.outbox) == 2
    tokens.make(ada)
    assert mail.outbox[-1].subject == "A new API key"


def test_links_are_told_to_whoever_wants_it(
    world: World, django_capture_on_commit_callbacks: Any
) -> None:
    def made(purpose: OneTimeLink.Purpose) -> int:
        mail.outbox.clear()
        with django_capture_on_commit_callbacks(execute=True):
            make_link(
                production=world.production,
                purpose=purpose,
                details={},
                made_by=world.engineer,
                days=1,
            )
        return len(mail.outbox)

    assert made(OneTimeLink.Purpose.INVITATION) == 1
    assert made(OneTimeLink.Purpose.SIGNATURE) == 0
    world.engineer.mail_of_links = True
    assert made(OneTimeLink.Purpose.SIGNATURE) == 1
    assert "signature" in mail.outbox[0].body


def test_sessions_of_before_go_on(ada: User) -> None:
    """As the migration finds them: in the table of Django's, under the key of the browser."""
    old = OldStore()
    new = as_user(ada).session
    old.update(dict(new.items()))
    old.save()
    LogIn.objects.all().delete()
    import_module("core.migrations.0020_sessions_are_kept").take_over(apps, None)
    client = Client()
    client.cookies["sessionid"] = str(old.session_key)
    assert client.get(HERE).status_code == 200
    assert not Session.objects.exists()
