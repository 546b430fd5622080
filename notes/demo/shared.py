"""Links that were given to people outside the crew. Their secrets are made here and kept nowhere."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.http import QueryDict

from core.guests.links import share, shared_of, until_by_default, withdraw
from core.models import GuestLink
from notes.demo.apply import apply
from notes.demo.cast import ENGINEER, MANAGER
from notes.demo.stage import DemoStage
from notes.demo.story import at
from rigs.patch.guest_questions import asked


@dataclass(frozen=True)
class SharedOut:
    """`kind` of the show in `room`, for somebody; closed again at once where it `went_wrong`."""

    when: datetime
    room: str
    kind: str
    for_whom: str
    by: str = ENGINEER
    may_answer: bool = False
    went_wrong: bool = False
    asked: str = ""  # by whoever got it, as `asked_by`; nobody has answered yet
    asked_by: str = ""


EVENTS: tuple[SharedOut, ...] = (
    SharedOut(
        at(11, 24, 16, 40), "Winter Garden", "backline", "Promoter, Winter Garden", MANAGER, True
    ),
    SharedOut(at(11, 24, 16, 50), "Winter Garden", "inputs", "House engineer", went_wrong=True),
    SharedOut(
        at(11, 24, 16, 55),
        "Winter Garden",
        "patch",
        "House engineer, Winter Garden",
        may_answer=True,
        asked="Box A stands behind your drum riser, and our tails end at stage left. Can it come forward by 4 m?",
        asked_by="Mara Quill, Winter Garden",
    ),
)


@apply.register
def _(event: SharedOut, stage: DemoStage) -> None:
    show, by = stage.shows[event.room], stage.people[event.by]
    production = show.leg.production
    shared = shared_of(production, event.kind, show.pk)
    if shared is None:
        raise ValueError(f"{event.kind} of {show} cannot be shared.")
    made = share(
        production=production,
        kind=event.kind,
        subject=show.pk,
        by=by,
        for_whom=event.for_whom,
        until=until_by_default(production, shared),
        address=str,
        may_answer=event.may_answer,
    )
    if event.asked:
        sent = QueryDict(mutable=True)
        sent.update({"words": event.asked, "guest_name": event.asked_by})
        asked(made.link, sent)
    if event.went_wrong:
        withdraw(GuestLink.objects.filter(pk=made.link.pk), by=by)
