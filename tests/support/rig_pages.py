"""Open a page of a rig, type into its form, and send it back."""

from __future__ import annotations

from typing import Any

from django.test import Client
from django.urls import reverse

from tests.support.pages import as_user
from tests.support.posting import shown
from tests.support.world import World


def at(world: World, name: str, *parts: Any) -> str:
    """The address of a page below the world's rig."""
    ids = [getattr(part, "pk", part) for part in parts]
    return reverse(f"rigs:{name}", args=[world.production.pk, world.rig.pk, *ids])


__all__ = ["Page", "as_user", "at"]


class Page:
    """A page as somebody sees it; `sent` is what its form would send."""

    def __init__(self, client: Client, url: str, response: Any = None) -> None:
        self.client, self.url = client, url
        self.response = client.get(url) if response is None else response
        self.status = self.response.status_code
        self.html = self.response.content.decode()
        self.sent = shown(self.html)

    def send(self, **typed: Any) -> Page:
        """Type over some of the fields and send. “a__b” names the field “a-b”."""
        named = {name.replace("__", "-"): value for name, value in typed.items()}
        return Page(self.client, self.url, self.client.post(self.url, self.sent | named))
