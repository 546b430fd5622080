"""Who is to be forgotten in a production, and by which names they are found there."""

from __future__ import annotations

import re
from dataclasses import dataclass

from core.models import PersonalText, Player, Production, User
from core.personal.store import texts_of

TAKEN_OUT = "…"


@dataclass(frozen=True, slots=True)
class Subject:
    """An account, a musician, or somebody who is both."""

    production: Production
    person: User | None = None
    player: Player | None = None

    def __str__(self) -> str:
        return str(self.person or self.player)


def member(production: Production, person: User) -> Subject:
    """Somebody with an account, and the musician that they are here, if they are one."""
    own = production.memberships.filter(user=person, player__isnull=False).select_related("player")
    first = own.first()
    return Subject(production, person, first.player if first else None)


def musician(production: Production, player: Player) -> Subject:
    """A musician, and the account that plays as them, if there is one."""
    first = production.memberships.filter(player=player).select_related("user").first()
    return Subject(production, first.user if first else None, player)


def names_of(subject: Subject) -> list[str]:
    """Every name and address they have or had here, the longest first."""
    found = set()
    if subject.person:
        found |= {subject.person.name, subject.person.email}
    if subject.player:
        found.add(subject.player.name)
    for text in own_texts(subject):
        if text.kind == PersonalText.Kind.NAME and text.removal_id is None:
            found.add(text.text)
    # One letter would be found everywhere.
    return sorted((each for each in found if len(each) > 1), key=lambda each: (-len(each), each))


def own_texts(subject: Subject) -> list[PersonalText]:
    return list(texts_of(subject.production, person=subject.person, player=subject.player))


def mention_of(names: list[str]) -> re.Pattern[str]:
    """Where one of `names` stands as a whole word, however it is capitalised."""
    joined = "|".join(rf"(?<!\w){re.escape(name)}(?!\w)" for name in names)
    return re.compile(joined or "$^", re.IGNORECASE)
