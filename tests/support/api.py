"""Call the API as one of the people of a test's production."""

from __future__ import annotations

from typing import Any

from rest_framework.authtoken.models import Token
from rest_framework.test import APIClient

from core.models import User
from core.services.tokens import digest


def api(user: User | None) -> APIClient:
    """A client that sends `user`'s key and JSON, or nobody's."""
    client = APIClient()
    client.default_format = "json"
    if user is not None:
        client.credentials(HTTP_AUTHORIZATION=f"Token {key_of(user)}")
    return client


def key_of(user: User) -> str:
    """One key for each person, the same whenever it is asked for."""
    key = f"key-of-{user.pk}"
    Token.objects.get_or_create(user=user, defaults={"key": digest(key)})
    return key


def ids(response: Any) -> list[str]:
    """The ids of a page of results."""
    return [row["id"] for row in response.json()["results"]]
