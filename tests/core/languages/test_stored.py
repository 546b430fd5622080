"""What is sent is in the language of whoever gets it; what is stored does not depend on a reader.

Names of months, which Django has in every language, tell one from another.
"""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest
from django.core import mail
from django.test import Client
from django.urls import reverse
from django.utils import translation

from core import clock
from core.models import Leg, SearchEntry, Show
from core.personal.opening import removed_words
from core.services.invitations import invite
from core.sign_in import notices
from tests.support.world import World, make_user

IN_DECEMBER = datetime(2026, 12, 1, 12, tzinfo=UTC)


@pytest.fixture
def december(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(clock, "now", lambda: IN_DECEMBER)


def invited(world: World, email: str) -> str:
    invite(
        production=world.production,
        roles=["crew"],
        by=world.engineer,
        address=lambda token: f"https://notebook.example/{token}",
        email=email,
    )
    return str(mail.outbox[-1].body)


@pytest.mark.usefixtures("december")
def test_an_invitation_is_in_the_language_of_the_account_it_goes_to(world: World) -> None:
    nel = make_user("Nel")
    nel.language = "de"
    nel.save()
    assert "15. Dezember 2026" in invited(world, nel.email.upper())
    with translation.override("fr"):
        assert "15. Dezember 2026" in invited(world, nel.email)
        # Whoever has no account gets it in the language of the page it was made on.
        assert "15 décembre 2026" in invited(world, "nobody@example.org")
        assert translation.get_language() == "fr"


@pytest.mark.usefixtures("december")
def test_a_notice_is_in_the_language_of_the_person(
    world: World, django_capture_on_commit_callbacks: object
) -> None:
    world.tech.language = "es"
    with django_capture_on_commit_callbacks(execute=True):  # type: ignore[operator]
        notices.tell(world.tech, "Something", "It happened.")
    assert "1 de diciembre de 2026" in mail.outbox[-1].body


@pytest.mark.usefixtures("db")
def test_a_mail_for_a_new_password_is_in_the_language_of_the_account() -> None:
    nel = make_user("Nel")
    nel.language = "de"
    nel.save()
    seen: list[str | None] = []

    def sent(*_: object) -> None:
        seen.append(translation.get_language())

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("django.contrib.auth.forms.EmailMultiAlternatives.send", sent)
        for email in (nel.email, make_user("Ada").email):
            Client(headers={"accept-language": "fr"}).post(
                reverse("core:password_reset"), {"email": email}
            )
    assert seen == ["de", "fr"]


def test_the_search_holds_the_same_words_whoever_saves(world: World) -> None:
    leg = Leg.objects.create(
        production=world.production,
        name="Winter",
        starts_on=date(2026, 12, 1),
        ends_on=date(2026, 12, 9),
    )
    with translation.override("de"):
        show = Show.objects.create(leg=leg, held_on=date(2026, 12, 3), room="Weir Hall")
        assert str(show) == "3. Dez. 2026 · Weir Hall"
    assert SearchEntry.objects.get(subject=show.pk).title == "3 Dec 2026 · Weir Hall"


def test_what_was_removed_says_so_to_each_reader() -> None:
    assert removed_words(IN_DECEMBER, "Nel") == "removed on request, 1 Dec 2026, by Nel"
    with translation.override("de"):
        assert "1. Dez. 2026" in removed_words(IN_DECEMBER, "Nel")
