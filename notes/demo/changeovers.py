"""The changeover of the evening with another act: planned once, and ticked off in a rehearsal."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID, uuid4

from core.durations import parse_minutes
from notes.demo.apply import apply
from notes.demo.cast import DRUM_TECH, ENGINEER, MONITORS, TECH
from notes.demo.stage import DemoStage
from notes.demo.story import at
from rigs.changeover.records import changeover_of, crew_of
from rigs.changeover.services import change, mark_clock, mark_step
from rigs.changeover.state import SET, STRIKE, USER, Plan, Step


@dataclass(frozen=True)
class Planned:
    """The changeover at the show in `room`: part, words, place, who (an account or a name), minutes;
    steps for which all wait are in `alone`, by their words."""

    when: datetime
    room: str
    minutes: str
    steps: tuple[tuple[str, str, str, str, str], ...]
    alone: tuple[str, ...] = ()
    by: str = TECH


@dataclass(frozen=True)
class Pressed:
    """One press at the show in `room`: a step done (its words), or the clock started or stopped."""

    when: datetime
    room: str
    what: str
    words: str = ""
    by: str = TECH


ROOM = "Winter Garden"
CARPET = "Their carpet and stands off, ours clear"
KIT = "Drum riser on, brakes locked"
CHECK = "Line check, then quiet on stage"

EVENTS: tuple[Planned | Pressed, ...] = (
    Planned(
        at(11, 24, 17, 30),
        ROOM,
        "20",
        (
            (STRIKE, "The Kestrel Lamps: four voice lines off B 9–12", "downstage", MONITORS, "3"),
            (STRIKE, CARPET, "centre", "two of the house crew", "4"),
            (SET, KIT, "Drum riser", "two of the house crew", "4"),
            (SET, "Drum snake into A, 16 ways", "Drum riser", DRUM_TECH, "3"),
            (SET, "Bass and guitar amps on their marks", "stage left, stage right", TECH, "5"),
            (SET, "Organ and its speaker, spun once", "stage right", "two of the house crew", "5"),
            (SET, "Microphones on, by the input list", "all of the stage", MONITORS, "6"),
            (SET, CHECK, "", ENGINEER, "4"),
        ),
        (KIT, CHECK),
    ),
    Pressed(at(11, 24, 18, 10), ROOM, "start"),
    Pressed(at(11, 24, 18, 14), ROOM, "done", CARPET, MONITORS),
    Pressed(at(11, 24, 18, 19), ROOM, "done", KIT),
    Pressed(at(11, 24, 18, 20), ROOM, "stop", by=ENGINEER),
)


@apply.register
def _(event: Planned, stage: DemoStage) -> None:
    show = stage.shows[event.room]
    crew = crew_of(stage.production.pk)
    steps = [
        Step(
            str(uuid4()),
            part,
            words,
            crew.read_place(place),
            f"{USER}{stage.people[who].pk}" if who in stage.people else who,
            parse_minutes(minutes),
            words not in event.alone,
        )
        for part, words, place, who, minutes in event.steps
    ]
    plan = Plan(tuple(steps), parse_minutes(event.minutes))
    change(show, plan, base=changeover_of(show).version, by=stage.people[event.by])


@apply.register
def _(event: Pressed, stage: DemoStage) -> None:
    show, by = stage.shows[event.room], stage.people[event.by]
    if not event.words:
        mark_clock(show, event.what, by=by)
        return
    found = changeover_of(show).plan
    step = next(step for step in found.steps if step.words == event.words)
    mark_step(show, UUID(step.id), event.what, by=by)
