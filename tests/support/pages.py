"""Short ways to say where a page of the small production is, and who opens it."""

from __future__ import annotations

from typing import Any

from django.test import Client
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


def says(response: Any) -> list[str]:
    """The messages a page shows above its content."""
    return [str(message) for message in response.context["messages"]]
