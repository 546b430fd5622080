"""What people see when something is not right."""

from __future__ import annotations

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


def test_something_unreadable(rf: RequestFactory, db: None) -> None:
    response = errors.bad_request(rf.get("/"), Exception())
    assert response.status_code == 400
    assert "That could not be read" in response.content.decode()


def test_a_fault_of_ours_needs_nothing_that_may_be_broken() -> None:
    response = errors.server_error(HttpRequest())
    assert response.status_code == 500
    assert "Something broke here" in response.content.decode()
