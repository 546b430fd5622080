"""What was played at single shows, in which order."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from uuid import uuid4

from core.durations import parse_duration
from core.sets.order import set_of_show
from core.sets.services import begin, change, state_of
from core.sets.state import ENCORE, Line
from notes.demo.apply import apply
from notes.demo.cast import TECH
from notes.demo.stage import DemoStage
from notes.demo.story import at


@dataclass(frozen=True)
class SetPlayed:
    """The set of the show in `room`: begun with the last one's, then put in the order of `songs`.

    `notes` are by title. The songs from `encore_at` on are the encore.
    """

    when: datetime
    room: str
    songs: tuple[str, ...]
    cut: tuple[str, ...] = ()
    notes: tuple[tuple[str, str], ...] = ()
    encore_at: int | None = None
    wanted: str = ""
    by: str = TECH


EVENTS: tuple[SetPlayed, ...] = (
    SetPlayed(
        at(11, 24, 17),
        "Civic Hall",
        (
            "Alder Ebb",
            "Gravel and Lamplight",
            "Ninety Lamps",
            "Paper Ferry",
            "What the Weir Said",
        ),
        wanted="25:00",
    ),
    SetPlayed(
        at(11, 24, 17, 10),
        "Winter Garden",
        (
            "Gravel and Lamplight",
            "Alder Ebb",
            "Ninety Lamps",
            "Paper Ferry",
            "What the Weir Said",
        ),
        cut=("Paper Ferry",),
        notes=(("Alder Ebb", "short intro"),),
        encore_at=4,
        wanted="18:00",
    ),
)


@apply.register
def _(event: SetPlayed, stage: DemoStage) -> None:
    show, by = stage.shows[event.room], stage.people[event.by]
    begin(show, by)
    found = set_of_show(show)
    state = state_of(found)
    notes = dict(event.notes)
    lines = {line.song: line for line in state.lines}
    wanted = [lines[str(stage.songs[title].pk)] for title in event.songs]
    wanted = [
        replace(line, cut=title in event.cut, note=notes.get(title, ""))
        for title, line in zip(event.songs, wanted, strict=True)
    ]
    if event.encore_at is not None:
        wanted.insert(event.encore_at, Line(str(uuid4()), ENCORE, title="Encore"))
    length = parse_duration(event.wanted) if event.wanted else None
    change(show, replace(state, lines=tuple(wanted), target_s=length), base=found.version, by=by)
