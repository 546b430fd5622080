"""Somebody of a house crew who helped for a night, and asked to be removed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from core.models import Removal, User
from core.services.members import add_roles
from notes.demo.apply import apply
from notes.demo.cast import DRUM_TECH, FOR_A_NIGHT, LEGS, MANAGER, CastMember
from notes.demo.stage import DemoStage
from notes.demo.story import MAUD, Asked, at
from notes.forgetting.forget import forget
from notes.forgetting.subject import member


@dataclass(frozen=True)
class Joined:
    when: datetime
    person: CastMember


@dataclass(frozen=True)
class Forgotten:
    """Their name goes; what they wrote down about the gear stays, as nobody's."""

    when: datetime
    person: CastMember
    reason: str
    by: str = MANAGER


EVENTS: tuple[Joined | Asked | Forgotten, ...] = (
    Joined(at(9, 26, 11), FOR_A_NIGHT),
    Asked(
        at(9, 26, 14),
        LEGS[0][0],
        FOR_A_NIGHT.email,
        "The right overhead is dead. Is there a spare?",
        MAUD,
        "An omni, in the percussion case.",
        DRUM_TECH,
    ),
    Forgotten(at(9, 30, 10), FOR_A_NIGHT, "A mail of 29 September."),
)


@apply.register
def _(event: Joined, stage: DemoStage) -> None:
    # Without a password: nobody is to log in as them.
    person = User.objects.create_user(event.person.email, event.person.name, None)
    stage.people[event.person.email] = person
    add_roles(production=stage.production, user=person, roles=event.person.roles, player=None)


@apply.register
def _(event: Forgotten, stage: DemoStage) -> None:
    forget(
        member(stage.production, stage.people[event.person.email]),
        by=stage.people[event.by],
        asked_by=Removal.Request.PERSON,
        reason=event.reason,
        words=False,
    )
