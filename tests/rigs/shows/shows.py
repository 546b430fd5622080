"""A show of the small production."""

from __future__ import annotations

from datetime import date
from typing import Any

from core.models import Leg, Show
from tests.support.world import World


def make_show(world: World, room: str = "The Weir", **more: Any) -> Show:
    leg, _ = Leg.objects.get_or_create(
        production=world.production,
        name="Autumn",
        defaults={"starts_on": date(2026, 9, 1), "ends_on": date(2026, 9, 30)},
    )
    return Show.objects.create(leg=leg, held_on=date(2026, 9, 4), room=room, **more)
