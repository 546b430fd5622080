"""Codes of an app and recovery codes. The codes are those of RFC 6238, appendix B (SHA-1)."""

from __future__ import annotations

import base64
import hmac
import re
import struct
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.core import mail
from django.test import Client
from django.urls import reverse

from core import clock
from core.models import LogIn, RecoveryCode, SecondFactor, Tries, User
from core.sign_in import codes
from tests.support.pages import as_user, says
from tests.support.world import make_user

LOGIN, CODE, PAGE = reverse("core:login"), reverse("core:code"), reverse("core:second_factor")
PASSWORD = "long-enough-1"
# RFC 6238, appendix B: the secret of its table for SHA-1, and the last six of its eight digits.
SECRET = base64.b32encode(b"12345678901234567890").decode()
TABLE = [
    (59, "287082"),
    (1111111109, "081804"),
    (1111111111, "050471"),
    (1234567890, "005924"),
    (2000000000, "279037"),
    (20000000000, "353130"),
]


@pytest.mark.parametrize(("seconds", "code"), TABLE)
def test_the_codes_are_those_of_the_standard(seconds: int, code: str) -> None:
    with clock.set_to(datetime.fromtimestamp(seconds, UTC)):
        assert codes.matching_step(SECRET, code) == seconds // 30
        assert codes.matching_step(SECRET, f"{code[:3]} {code[3:]}") == seconds // 30
    with clock.set_to(datetime.fromtimestamp(seconds + 30, UTC)):
        assert codes.matching_step(SECRET, code) == seconds // 30
    for away in (60, -30):
        with clock.set_to(datetime.fromtimestamp(seconds + away, UTC)):
            assert codes.matching_step(SECRET, code) is None


@pytest.fixture
def ada(db: None) -> User:
    ada = make_user("Ada")
    SecondFactor.objects.create(user=ada, sealed=codes.seal(SECRET))
    return ada


@pytest.fixture
def then() -> str:
    """The code of now, computed here from RFC 4226, section 5.3, and RFC 6238, section 4.2."""
    return shown(b"12345678901234567890", int(clock.now().timestamp()))


def shown(secret: bytes, seconds: int) -> str:
    digest = hmac.digest(secret, struct.pack(">Q", seconds // 30), "sha1")
    [number] = struct.unpack_from(">I", digest, digest[-1] & 0xF)
    return f"{(number & 0x7FFFFFFF) % 1_000_000:06}"


def half_in(person: User, **more: str) -> Client:
    client = Client()
    given = {"username": person.email, "password": PASSWORD, **more}
    assert client.post(LOGIN, given).headers["Location"] == CODE
    assert "_auth_user_id" not in client.session
    return client


def test_the_password_alone_is_not_enough(ada: User, then: str) -> None:
    client = half_in(ada, next="/account/")
    assert client.get("/account/").status_code == 302
    assert client.post(CODE, {"code": then}).headers["Location"] == "/account/"
    assert client.session["_auth_user_id"] == str(ada.pk)
    assert LogIn.objects.get(user=ada).by == LogIn.By.CODE


def test_a_code_counts_once(ada: User, then: str) -> None:
    half_in(ada).post(CODE, {"code": then})
    response = half_in(ada).post(CODE, {"code": then})
    assert list(response.context["form"].errors) == ["code"]


def test_codes_cannot_be_tried_for_long(ada: User, then: str) -> None:
    client = half_in(ada)
    for _ in range(codes.MOST):
        client.post(CODE, {"code": "000000"})
    refused = half_in(ada).post(CODE, {"code": then})
    assert "Too many codes" in refused.context["form"].errors["code"][0]
    Tries.objects.update(since=clock.now() - codes.WITHIN)
    assert half_in(ada).post(CODE, {"code": then}).headers["Location"] == "/"


def test_nobody_is_half_in_without_the_password(ada: User, client: Client) -> None:
    assert client.get(CODE).headers["Location"] == LOGIN


def test_a_closed_account_stays_half_out(ada: User, then: str) -> None:
    client = half_in(ada)
    User.objects.filter(pk=ada.pk).update(is_active=False)
    assert client.post(CODE, {"code": then}).headers["Location"] == LOGIN


def test_the_administration_asks_for_it_too(ada: User) -> None:
    """Django's own log-in of the administration asks for a password alone."""
    response = Client().get("/admin/", follow=True)
    assert response.redirect_chain[-1][0] == f"{LOGIN}?next=/admin/"
    assert as_user(ada).get("/admin/", follow=True).status_code == 403


def turn_on(client: Client, **at: Any) -> list[str]:
    page = client.get(PAGE).content.decode()
    secret = re.search(r"<code>([A-Z2-7 ]+)</code>", page)
    assert secret is not None
    known = base64.b32decode(secret[1].replace(" ", ""))
    answer = client.post(PAGE, {"code": shown(known, int(clock.now().timestamp()))})
    return re.findall(r"<code>([a-z2-7-]+)</code>", answer.content.decode())


def test_turned_on_by_a_code_and_recovered_by_another(
    db: None, django_capture_on_commit_callbacks: Any
) -> None:
    bea = make_user("Bea")
    client, elsewhere = as_user(bea), as_user(bea)
    with django_capture_on_commit_callbacks(execute=True):
        made = turn_on(client)
    assert len(set(made)) == 10
    assert all(re.fullmatch(r"[a-z2-7]{5}(-[a-z2-7]{5}){5}", code) for code in made)
    assert mail.outbox[-1].subject == "Your second factor"
    assert elsewhere.get("/account/").status_code == 302, "logged out elsewhere"
    # Nothing of them is in the database.
    kept = "".join(RecoveryCode.objects.values_list("digest", flat=True))
    assert not any(code in kept or code.replace("-", "") in kept for code in made)
    back = half_in(bea)
    response = back.post(CODE, {"code": made[3].upper()}, follow=True)
    assert says(response) == ["9 recovery codes are left. Make new ones in time."]
    again = half_in(bea).post(CODE, {"code": made[3]})
    assert list(again.context["form"].errors) == ["code"]


def test_a_wrong_first_code_turns_nothing_on(db: None) -> None:
    bea = make_user("Bea")
    client = as_user(bea)
    first = client.get(PAGE).context["secret"]
    response = client.post(PAGE, {"code": "12345"})
    assert list(response.context["form"].errors) == ["code"]
    assert response.context["secret"] == first, "the app has it already"
    assert not codes.is_on(bea)


def test_turned_off(ada: User) -> None:
    codes.new_recovery_codes(ada)
    as_user(ada).post(PAGE, {"off": "1"})
    assert not codes.is_on(ada)
    assert not RecoveryCode.objects.exists()


def test_new_recovery_codes_close_the_old_ones(ada: User) -> None:
    old = codes.new_recovery_codes(ada)
    answer = as_user(ada).post(PAGE, {"codes": "1"})
    assert answer.context["recovery_codes"][0] in answer.content.decode()
    assert codes.check(ada, old[0]) is None


def test_the_secret_is_sealed_and_another_key_opens_it_not(ada: User, settings: Any) -> None:
    sealed = SecondFactor.objects.get().sealed
    assert SECRET not in sealed
    assert codes.unseal(sealed) == SECRET
    before = settings.SECRET_KEY
    settings.SECRET_KEY = "another" * 9
    assert codes.unseal(sealed) is None
    assert codes.check(ada, "279037") is None
    settings.SECRET_KEY_FALLBACKS = [before]
    assert codes.unseal(sealed) == SECRET


def test_after_a_quarter_of_an_hour_it_asks_who_it_is(ada: User) -> None:
    client = as_user(ada)
    LogIn.objects.update(began_at=clock.now() - timedelta(minutes=16))
    asked = client.get(PAGE)
    assert asked.headers["Location"] == f"{reverse('core:confirm')}?next=/account/second-factor/"
    url = asked.headers["Location"]
    wrong = client.post(url, {"password": "x", "code": "x", "next": PAGE})
    assert list(wrong.context["form"].errors) == ["password"]
    no_code = client.post(url, {"password": PASSWORD, "code": "x", "next": PAGE})
    assert list(no_code.context["form"].errors) == ["code"]
    [one, *_] = codes.new_recovery_codes(ada)
    done = client.post(url, {"password": PASSWORD, "code": one, "next": PAGE})
    assert done.headers["Location"] == PAGE
    assert client.get(PAGE).status_code == 200
