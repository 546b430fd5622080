"""What people see when something is not right."""

from __future__ import annotations

from typing import Any

import pytest
from django.http import HttpRequest
from django.test import Client, RequestFactory
from django.urls import reverse

from core.views import errors
from tests.support.pages import as_user, at
from tests.support.world import World


def test_no_such_page(db: None, client: Client) -> None:
    response = client.get("/nowhere/")
    assert response.status_code == 404
    assert "There is no such page" in response.content.decode()


def test_an_outsider_and_a_stranger_see_the_same(world: World) -> None:
    there = as_user(world.outsider).get(at(world, "core:production"))
    not_there = as_user(world.outsider).get("/p/00000000-0000-4000-8000-000000000000/")
    assert there.status_code == not_there.status_code == 404
    assert there.context["trouble"] == not_there.context["trouble"] == errors.NOT_FOUND
    assert "The Long Quiet" not in there.content.decode()


def test_a_member_without_the_right_is_told_whom_to_ask(world: World) -> None:
    response = as_user(world.people["crew"]).get(at(world, "core:invite"))
    assert response.status_code == 403
    assert "A production manager can give it to you." in response.content.decode()


def test_a_form_from_an_old_page(db: None) -> None:
    response = Client(enforce_csrf_checks=True).post(reverse("core:login"), {"username": "a"})
    assert response.status_code == 403
    assert "That page was open too long" in response.content.decode()


def test_a_form_from_an_address_that_is_not_known_as_ours(db: None) -> None:
    """Behind a proxy that the service was not told of, it is no page that was open too long."""
    client = Client(enforce_csrf_checks=True, headers={"origin": "https://notebook.example.org"})
    page = client.post(reverse("core:login"), {"username": "a"})
    assert page.status_code == 403
    assert "https://notebook.example.org" in page.content.decode()
    assert "TONELEDGER_ORIGINS" in page.content.decode()


@pytest.mark.parametrize("asked", ["192.168.7.7:8000", "notebook.example.org", "<b>bold</b>", ""])
def test_another_name_of_the_server(db: None, settings: Any, asked: str) -> None:
    settings.ALLOWED_HOSTS = ["backline.example.org"]
    page = Client(headers={"host": asked}).get("/login/")
    assert page.status_code == 400
    text = page.content.decode()
    assert "This server has another name" in text
    assert "TONELEDGER_HOSTS" in text
    assert "backline.example.org" not in text
    if asked.endswith((".7:8000", ".org")):
        assert f"“{asked.partition(':')[0]}”" in text
    assert "<b>" not in text
    assert "To your productions" not in text  # it would be asked for by the same name


def test_a_program_is_told_the_same(db: None, settings: Any) -> None:
    settings.ALLOWED_HOSTS = ["backline.example.org"]
    answer = Client(headers={"host": "192.168.7.7"}).get("/api/v1/productions/")
    assert answer.status_code == 400
    assert "TONELEDGER_HOSTS" in answer.json()["detail"]


def test_something_unreadable(rf: RequestFactory, db: None) -> None:
    response = errors.bad_request(rf.get("/"), Exception())
    assert response.status_code == 400
    assert "That could not be read" in response.content.decode()


def test_a_fault_of_ours_needs_nothing_that_may_be_broken() -> None:
    response = errors.server_error(HttpRequest())
    assert response.status_code == 500
    assert "Something broke here" in response.content.decode()
