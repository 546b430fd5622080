"""Legs and players for handovers."""

from __future__ import annotations

from datetime import UTC, date, datetime
from uuid import uuid4

from core import clock
from core.models import Leg, Player, User
from notes.handover.content import content_of, outline_of
from notes.handover.progress import Progress, ReadingCell, progress_of_copy
from notes.handover.state import find
from rigs.changes.edits import Add, Set
from rigs.models import Rig
from rigs.revisions.record import record
from tests.support.world import HIRE, World, input_fields, make_rig

BEFORE = datetime(2026, 8, 30, 12, tzinfo=UTC)  # before any leg
AUTUMN = datetime(2026, 9, 10, 12, tzinfo=UTC)  # within the first
WINTER = datetime(2026, 11, 10, 12, tzinfo=UTC)  # within the second


def legs(world: World) -> tuple[Leg, Leg]:
    """Autumn and the leg after it."""
    make = Leg.objects.create
    return (
        make(
            production=world.production,
            name="Autumn",
            starts_on=date(2026, 9, 1),
            ends_on=date(2026, 9, 30),
        ),
        make(
            production=world.production,
            name="Winter",
            starts_on=date(2026, 11, 1),
            ends_on=date(2026, 11, 30),
        ),
    )


def more_players(world: World, number: int, revisions: int = 1) -> list[Rig]:
    """Players with a documented rig each, whose microphone was swapped and dial turned."""
    made = []
    for nth in range(number):
        player = Player.objects.create(
            production=world.production, name=f"Player {nth}", instrument="bass", position=nth + 1
        )
        unit, control, entry = (str(uuid4()) for _ in range(3))
        parts = (
            Add(unit, "unit", {"name": "Head", "gear": "valve_head"}),
            Add(control, "control", {"unit": unit, "name": "Gain", "setting": "2:30"}),
            Add(entry, "input", input_fields(unit, world.mic.pk)),  # type: ignore[arg-type]
        )
        rig = make_rig(world.production, player, world.tech, f"Rig {nth}", parts)
        swap = Set(entry, "input", {"device": str(world.other_mic.pk)})
        record(rig, [swap], author=world.tech, base=1, reason=HIRE)
        for turn in range(revisions):
            edit = Set(control, "control", {"setting": f"{turn % 3 + 3}:00"})
            record(rig, [edit], author=world.tech, base=rig.head_number)
        made.append(rig)
    return made


def turn_at(world: World, moment: datetime, setting: str) -> None:
    with clock.set_to(moment):
        world.turn(setting)


def progress(leg: Leg) -> Progress:
    """Of the working copy as it is now."""
    found = find(leg)
    return progress_of_copy(leg.production, found.handover, outline_of(content_of(found)))


def cells_of(leg: Leg, user: User) -> list[ReadingCell]:
    """What `user` has read of the working copy: the general part, then the players."""
    mine = progress(leg).of(user)
    assert mine is not None
    return mine.cells
