"""Methods that no page knows, and addresses of the administration that lead on."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from core.models import User
from tests.support.pages import as_user

ODD = ("TRACE", "CONNECT", "PROPFIND", "NOTHING")


@pytest.fixture
def boss(db: None) -> Client:
    return as_user(User.objects.create_superuser("chief@example.org", "Chief", "long-enough-1"))


@pytest.mark.parametrize("method", ODD)
def test_are_refused_everywhere(boss: Client, method: str) -> None:
    for url in ("/login/", "/account/", "/api/v1/productions/", "/admin/", "/admin/core/user/"):
        answer = boss.generic(method, url, "words", headers={"x-secret": "shown-by-nobody"})
        assert answer.status_code == 405, url
        assert "PUT" in answer.headers["Allow"]
        assert b"shown-by-nobody" not in answer.content


@pytest.mark.parametrize("method", ["GET", "PUT", "DELETE"])
def test_the_address_of_a_record_leads_to_its_page(boss: Client, method: str) -> None:
    """An address of Django's from before, which the administration still answers."""
    person = User.objects.get()
    answer = boss.generic(method, f"/admin/core/user/{person.pk}/")
    assert answer.status_code == 302
    assert answer.headers["Location"] == reverse("admin:core_user_change", args=[person.pk])
