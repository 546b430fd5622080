"""What each request asks the database before its page asks anything: two queries."""

from __future__ import annotations

import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from core.models import LogIn, User
from tests.support.pages import as_user, at
from tests.support.world import World

PAGES = ["core:production", "rigs:index", "notes:index", "notes:changes", "core:tour"]
WHO = r'FROM "core_(login|user|membership)"'


@pytest.mark.parametrize("name", PAGES)
def test_who_it_is_and_what_they_may_are_two_queries(world: World, name: str) -> None:
    client = as_user(world.engineer)
    url = at(world, name)
    client.get(url)
    with CaptureQueriesContext(connection) as queries:
        assert client.get(url).status_code == 200
    first = [
        match[1] for each in queries.captured_queries[:3] if (match := re.search(WHO, each["sql"]))
    ]
    assert first == ["login", "membership"]
    asked = queries.captured_queries
    read_again = [
        each for each in asked if 'FROM "core_user" WHERE "core_user"."id" =' in each["sql"]
    ]
    assert not read_again


def test_what_is_read_with_the_session_is_checked_all_the_same(world: World) -> None:
    client = as_user(world.engineer)
    # Of another person, of a closed account, and after a new password.
    LogIn.objects.filter(user=world.engineer).update(user=world.tech)
    assert client.get("/account/").context["request"].user == world.engineer
    LogIn.objects.update(user=world.engineer)
    User.objects.filter(pk=world.engineer.pk).update(is_active=False)
    assert client.get("/account/").status_code == 302
    client = as_user(world.tech)
    world.tech.set_password("something else entirely")
    world.tech.save()
    assert client.get("/account/").status_code == 302
