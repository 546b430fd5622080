"""Call the API as one of the people of a test's production."""

from __future__ import annotations

from typing import Any

from rest_framework.authtoken.models import Token
from rest_framework.test import APIClient

from core.models import User


def api(user: User | None) -> APIClient:
    """A client that sends `user`'s key and JSON, or nobody's."""
    client = APIClient()
    client.default_format = "json"
    if user is not None:
        token, _ = Token.objects.get_or_create(user=user)
        client.credentials(HTTP_AUTHORIZATION=f"Token {token.key}")
    return client


def ids(response: Any) -> list[str]:
    """The ids of a page of results."""
    return [row["id"] for row in response.json()["results"]]
