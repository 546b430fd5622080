"""A link of each kind, as the engineer gives it out."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any
from uuid import UUID

from core.guests.links import share
from tests.support.world import World


def link_to(world: World, kind: str, subject: UUID, **more: Any) -> str:
    """Its address."""
    return share(
        production=world.production,
        kind=kind,
        subject=subject,
        by=world.engineer,
        for_whom="The house engineer",
        until=date.today() + timedelta(days=5),
        address="/g/{}/".format,
        **more,
    ).url
