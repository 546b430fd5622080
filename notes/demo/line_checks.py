"""One finished line check: most of it ok, a microphone that died, a table without floor."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from notes.demo.apply import apply, input_of
from notes.demo.cast import ENGINEER, TECH
from notes.demo.stage import DemoStage
from notes.demo.story import at
from notes.linecheck.report import lines_of
from notes.linecheck.services import Deviation, close, mark
from notes.models import LineCheck


@dataclass(frozen=True)
class Deviated:
    """What was not as listed at one input of the show in `room`; `device` by its name."""

    when: datetime
    room: str
    rig: str
    input: str
    state: str
    why: str = ""
    words: str = ""
    device: str = ""
    by: str = TECH


@dataclass(frozen=True)
class RestOk:
    """Mark as ok everything that has no mark yet."""

    when: datetime
    room: str
    by: str = TECH


@dataclass(frozen=True)
class Finished:
    when: datetime
    room: str
    who_was_told: str
    to_repair: str
    by: str = ENGINEER


BARN = "The Sallow Barn"
EVENTS: tuple[Deviated | RestOk | Finished, ...] = (
    Deviated(
        at(10, 10, 16, 20),
        BARN,
        "Organ and rotary",
        "Electric piano",
        "deviates",
        "failure",
        "Its left lead crackled when moved; the spare lead is in.",
    ),
    Deviated(
        at(10, 10, 16, 25),
        BARN,
        "Trumpet",
        "Trumpet",
        "deviates",
        "failure",
        "The clip of the ribbon broke at load-in; the microphone is whole and in its case.",
        device="Bollard",
    ),
    # The list of the show said so already.
    Deviated(at(10, 10, 16, 28), BARN, "Second voice and percussion", "Percussion", "absent"),
    RestOk(at(10, 10, 16, 30), BARN),
    Finished(
        at(10, 10, 16, 40),
        BARN,
        "Olu, who will apply closer to it; Hestia; Greta at the desk turned channel 17 up.",
        "Clip of the Eskvane 4 (trumpet): a new one, thread checked.\n"
        "Left lead of the electric piano: open it, solder or throw away.",
    ),
)


@apply.register
def _(event: Deviated, stage: DemoStage) -> None:
    difference = (
        Deviation(event.why, event.words, stage.devices[event.device] if event.device else None)
        if event.why
        else None
    )
    entry = input_of(stage, event.rig, event.input)
    mark(
        stage.shows[event.room],
        entry,
        state=event.state,
        by=stage.people[event.by],
        difference=difference,
    )


@apply.register
def _(event: RestOk, stage: DemoStage) -> None:
    show = stage.shows[event.room]
    for line in lines_of(show):
        if line.mark is None:
            mark(show, line.day.listed, state="ok", by=stage.people[event.by])


@apply.register
def _(event: Finished, stage: DemoStage) -> None:
    check = LineCheck.objects.get(show=stage.shows[event.room])
    close(
        check,
        by=stage.people[event.by],
        who_was_told=event.who_was_told,
        to_repair=event.to_repair,
    )
