"""Which passwords are taken (OWASP ASVS 5.0.0, 6.2), and how often mails for one are sent."""

from __future__ import annotations

import pytest
from django.contrib.auth.password_validation import validate_password
from django.core import mail
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse

from core.models import User
from tests.support.world import make_user

ADA = User(name="Ada Marlowe", email="ada.marlowe@quietcrew.example")


@pytest.mark.parametrize(
    "password",
    [
        "a quiet stage",
        "839201746352",  # any kind of letters, digits alone too
        "ünter dem Dach",
        "the riser of the drums stands left of the wedges, by the monitor desk of tonight",
        "Marlowe keeps the spare fuses dry",
        "         q w e r",
    ],
)
def test_taken(password: str) -> None:
    validate_password(password, ADA)


@pytest.mark.parametrize(
    ("password", "why"),
    [
        ("elevenchars", "too short"),
        ("aaaaaaaaaaaaaaaa", "repeats itself"),
        ("abababababab", "repeats itself"),
        ("administrator", "Many people"),  # in the list of Django's
        ("Sunshine!!2026", "Many people"),
        ("123liverpool456", "Many people"),
        ("AdaMarlowe2026", "made of"),
        ("toneledger-2026!", "made of"),
        ("soundcheck soundcheck", "made of"),
        ("quietcrew.example", "made of"),
    ],
)
def test_refused(password: str, why: str) -> None:
    with pytest.raises(ValidationError) as refused:
        validate_password(password, ADA)
    assert why in " ".join(refused.value.messages)


def test_mails_for_a_new_password_are_few(db: None) -> None:
    ada = make_user("Ada")
    answers = {
        Client().post(reverse("core:password_reset"), {"email": each}).headers["Location"]
        for each in [ada.email, ada.email.upper()] * 4
    }
    assert answers == {reverse("core:password_reset_done")}
    assert len(mail.outbox) == 3
