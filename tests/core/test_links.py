"""One-time links: looked at as often as one likes, spent once."""

from __future__ import annotations

import hashlib
from datetime import timedelta

import pytest
from django.db import transaction
from django.utils import timezone

from core.links import LinkClosed, look_up, make_link, spend
from core.models import OneTimeLink, Production
from tests.support.world import make_user

Purpose = OneTimeLink.Purpose
CLOSED = "This link is closed: it was used, withdrawn, or its time ran out."


def fresh(days: int = 3) -> tuple[OneTimeLink, str]:
    return make_link(
        production=Production.objects.create(name="Tanglewharf"),
        purpose=Purpose.INVITATION,
        details={"roles": ["crew"]},
        made_by=make_user("Ada"),
        days=days,
    )


def error_of_look_up(token: str, purpose: Purpose = Purpose.INVITATION) -> str:
    with pytest.raises(LinkClosed) as caught:
        look_up(token, purpose)
    return str(caught.value)


@pytest.mark.django_db
def test_only_the_digest_is_kept() -> None:
    link, token = fresh()
    assert link.digest == hashlib.sha256(token.encode()).hexdigest()
    assert len(token) >= 43  # 32 random bytes in base 64
    row = OneTimeLink.objects.filter(pk=link.pk).values().get()
    assert token not in str(row)


@pytest.mark.django_db
def test_looking_changes_nothing() -> None:
    link, token = fresh()
    before = OneTimeLink.objects.values().get()
    for _ in range(3):
        assert look_up(token, Purpose.INVITATION) == link
    assert OneTimeLink.objects.values().get() == before


@pytest.mark.django_db
def test_spent_once() -> None:
    _, token = fresh()
    assert spend(token, Purpose.INVITATION).used_at is not None
    with pytest.raises(LinkClosed, match=CLOSED):
        spend(token, Purpose.INVITATION)


@pytest.mark.django_db
def test_closed_links_and_wrong_tokens_look_alike() -> None:
    link, token = fresh()
    assert error_of_look_up("nothing") == CLOSED
    assert error_of_look_up(token, Purpose.SIGNATURE) == CLOSED
    link.withdrawn_at = timezone.now()
    link.save()
    assert error_of_look_up(token) == CLOSED


@pytest.mark.django_db
def test_time_runs_out() -> None:
    link, token = fresh()
    link.expires_at = timezone.now() - timedelta(seconds=1)
    link.save()
    assert error_of_look_up(token) == CLOSED


@pytest.mark.django_db
def test_spending_is_undone_with_the_transaction() -> None:
    _, token = fresh()
    with transaction.atomic():
        spend(token, Purpose.INVITATION)
        transaction.set_rollback(True)
    assert look_up(token, Purpose.INVITATION).is_open
