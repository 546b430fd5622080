"""Short ways to say where a page of the small production is, and who opens it."""

from __future__ import annotations

import re
from typing import Any

from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from core.models import User
from tests.support.world import World


def at(world: World, name: str, *more: Any) -> str:
    """The address of a page of the production."""
    return reverse(name, args=[world.production.pk, *more])


def as_user(user: User) -> Client:
    client = Client()
    client.force_login(user)
    return client


# But for the choice of a language, which is on every page.
FORM_OF_PAGE = re.compile(r'<form(?![^>]*action="/language/")')


def queries_of(client: Client, url: str) -> int:
    """How many statements a page takes, whichever apps have something to show on it."""
    with CaptureQueriesContext(connection) as queries:
        assert client.get(url).status_code == 200
    return len(queries)


def says(response: Any) -> list[str]:
    """The messages a page shows above its content."""
    return [str(message) for message in response.context["messages"]]
