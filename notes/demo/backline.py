"""What a show asks the promoter for: a head and a cabinet for the bass fly rig, and what came."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from notes.demo.apply import apply
from notes.demo.cast import MANAGER, TECH
from notes.demo.stage import DemoStage
from notes.demo.story import at
from rigs.backline.forms import AnswerForm, LineForm
from rigs.models import BacklineAnswer, BacklineLine


@dataclass(frozen=True)
class AskedFor:
    """A line of the show in `room`, what was offered for it and what came."""

    when: datetime
    room: str
    what: str
    wanted: str = ""
    accepted: str = ""
    refused: str = ""
    notes: str = ""
    offered: str = ""
    reply: str = "open"
    came: str = ""
    came_count: int | None = None
    from_whom: str = ""
    about: str = ""


EVENTS: tuple[AskedFor, ...] = (
    AskedFor(
        at(11, 24, 16, 30),
        "Winter Garden",
        "Bass head, valves, 50 W or more, 8 Ω tap",
        wanted="Ostrander Sluice",
        accepted="any valve head with an 8 Ω tap",
        refused="Brackmoor Kiln",
        notes="Ivo plays through the attenuator: it needs the 8 Ω tap.",
        offered="Brackmoor Kiln 100",
        from_whom="the promoter",
        about="Asked again for an Ostrander.",
    ),
    AskedFor(
        at(11, 24, 16, 35),
        "Winter Garden",
        "Bass cabinet, 1 × 15 in, 8 Ω",
        wanted="Ostrander Barrel",
        accepted="one cabinet of 8 Ω that bears 200 W",
        offered="Ostrander Barrel",
        reply="taken",
        from_whom="the promoter",
    ),
)


@apply.register
def _(event: AskedFor, stage: DemoStage) -> None:
    show = stage.shows[event.room]
    line = BacklineLine(leg=show.leg, show=show)
    asked = {
        "what": event.what,
        "count": 1,
        "wanted": event.wanted,
        "accepted": event.accepted,
        "refused": event.refused,
        "notes": event.notes,
    }
    answered = {
        "version": 0,
        "offered": event.offered,
        "from_whom": event.from_whom,
        "reply": event.reply,
        "came": event.came,
        "came_count": event.came_count,
        "notes": event.about,
    }
    form = LineForm(asked, instance=line, by=stage.people[MANAGER])
    if not form.try_save():
        raise ValueError(f"{event.what}: {form.errors.as_json()}")
    row = BacklineAnswer(line=line, show=show, version=0)
    answer = AnswerForm(answered, instance=row, by=stage.people[TECH])
    if not answer.try_save():
        raise ValueError(f"{event.what}: {answer.errors.as_json()}")
