"""One finished line check: most of it ok, a microphone that died, a table without floor."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from notes.demo.cast import MONITORS, NEW_ENGINEER
from notes.demo.play import input_of, play
from notes.demo.stage import Stage
from notes.linecheck.report import lines_of
from notes.linecheck.services import Said, close, mark
from notes.models import LineCheck


@dataclass(frozen=True)
class Found:
    """What was not as listed at one input of the show in `room`; `device` by its name."""

    when: datetime
    room: str
    rig: str
    input: str
    state: str
    why: str = ""
    words: str = ""
    device: str = ""
    by: str = MONITORS


@dataclass(frozen=True)
class RestOk:
    """Everything that has no mark yet is ok."""

    when: datetime
    room: str
    by: str = MONITORS


@dataclass(frozen=True)
class Finished:
    when: datetime
    room: str
    who_was_told: str
    to_repair: str
    by: str = NEW_ENGINEER


EVENTS: tuple[Found | RestOk | Finished, ...] = ()


@play.register
def _(event: Found, stage: Stage) -> None:
    said = Said(
        event.why, event.words, stage.devices[event.device] if event.device else None
    ) if event.why else None  # fmt: skip
    entry = input_of(stage, event.rig, event.input)
    mark(stage.shows[event.room], entry, state=event.state, by=stage.people[event.by], said=said)


@play.register
def _(event: RestOk, stage: Stage) -> None:
    show = stage.shows[event.room]
    for line in lines_of(show):
        if line.mark is None:
            mark(show, line.day.listed, state="ok", by=stage.people[event.by])


@play.register
def _(event: Finished, stage: Stage) -> None:
    check = LineCheck.objects.get(show=stage.shows[event.room])
    close(
        check, by=stage.people[event.by], who_was_told=event.who_was_told,
        to_repair=event.to_repair,
    )  # fmt: skip
