"""Other air, or another distance to the mix position."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.db.models import Q

from core import clock
from core.models import Production, Show
from rigs.checks.bench import Bench
from rigs.whatif import mix
from rigs.whatif.air import Room, rehearsal_room, room_of
from rigs.whatif.answers import Answer, Subject
from rigs.whatif.forms import AirQuestion, as_typed
from rigs.whatif.topic import Topic

REHEARSAL = "rehearsal"
MOST_SHOWS = 12


class AirTopic(Topic):
    """`rooms` by the id of their show, the rehearsal room by REHEARSAL."""

    key, label, icon = "air", "Air at the mix", "wind"
    nothing = "Neither the rehearsal room nor a coming show is entered."
    question = AirQuestion

    def __init__(self, rooms: dict[str, Room]) -> None:
        self.rooms = rooms

    def subjects(self, bench: Bench) -> list[Subject]:
        return [Subject(key, room.name) for key, room in self.rooms.items()]

    def initial(self, bench: Bench, subject: str) -> dict[str, Any]:
        room = self.rooms[subject]
        values = {
            "celsius": room.celsius,
            "humidity": room.humidity,
            "kilopascals": room.kilopascals,
        }
        shown = {name: "" if value is None else f"{value:g}" for name, value in values.items()}
        return shown | {"distance": "" if room.metres is None else f"{room.metres:g} m"}

    def answer(self, bench: Bench, subject: str, typed: dict[str, Any]) -> Answer:
        distance = typed["distance"]
        then = Room(
            f"then: {as_typed(distance)}",
            typed["celsius"],
            typed["humidity"],
            typed["kilopascals"],
            float(distance.metres),
        )
        return mix.answer(self.rooms[subject], then)


def rooms(production: Production, asked: str) -> dict[str, Room]:
    """The rehearsal room, the shows to come, and the one asked about. Two queries."""
    reference = rehearsal_room(production)
    found = {REHEARSAL: reference} if reference else {}
    wanted = Q(held_on__gte=clock.now().date(), retired_at=None, leg__retired_at=None)
    shows = Show.objects.filter(wanted | Q(pk=_uuid(asked)), leg__production=production)
    for show in shows.order_by("held_on", "room")[:MOST_SHOWS]:
        found[str(show.pk)] = room_of(show, dated=True)
    return found


def _uuid(text: str) -> UUID | None:
    try:
        return UUID(text)
    except ValueError:
        return None
