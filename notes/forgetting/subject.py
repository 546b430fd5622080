"""Who is to be forgotten in a production, and by which names they are found there."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime

from django.db.models import QuerySet

from core import clock
from core.authors import GuestAuthor
from core.models import GuestLink, PersonalText, Player, Production, User
from core.personal.store import texts_of

TAKEN_OUT = "…"


@dataclass(frozen=True, slots=True)
class Subject:
    """An account, a musician, or somebody who is both; or neither, and then there is the name alone
    that somebody typed: whom a link was made for, who answered as a guest."""

    production: Production
    person: User | None = None
    player: Player | None = None
    typed: str = ""

    def __str__(self) -> str:
        return str(self.person or self.player or self.typed)


def member(production: Production, person: User) -> Subject:
    """Somebody with an account, and the musician that they are here, if they are one."""
    own = production.memberships.filter(user=person, player__isnull=False).select_related("player")
    first = own.first()
    return Subject(production, person, first.player if first else None)


def musician(production: Production, player: Player) -> Subject:
    """A musician, and the account that plays as them, if there is one."""
    first = production.memberships.filter(player=player).select_related("user").first()
    return Subject(production, first.user if first else None, player)


def guest(production: Production, name: str) -> Subject:
    """Somebody without an account who is no musician here."""
    return Subject(production, typed=name)


def names_of_guests(production: Production) -> list[str]:
    """For whom links were made, and the names that guests typed. Two queries."""
    found = set(GuestLink.objects.filter(production=production).values_list("for_whom", flat=True))
    end = GuestAuthor("").name
    texts = _of_nobody(production).filter(text__endswith=end).values_list("text", flat=True)
    found |= {text.removesuffix(end) for text in texts}
    return sorted((each for each in found if TAKEN_OUT not in each), key=str.casefold)


def guests_and_links(production: Production) -> list[tuple[str, datetime | None]]:
    """Those names, each with until when the last link for it is open; None where none is. Three
    queries."""
    links = GuestLink.objects.filter(production=production, withdrawn_at=None)
    still = links.filter(expires_at__gt=clock.now()).order_by("expires_at")
    until = dict(still.values_list("for_whom", "expires_at"))
    return [(name, until.get(name)) for name in names_of_guests(production)]


def _of_nobody(production: Production) -> QuerySet[PersonalText]:
    """Names that are kept and neither of an account nor of a musician."""
    kind = PersonalText.Kind.NAME
    return PersonalText.objects.filter(
        production=production, person=None, player=None, kind=kind, removal=None
    )


def names_of(subject: Subject) -> list[str]:
    """Every name and address they have or had here, the longest first."""
    found = {subject.typed}
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
    if subject.typed:
        own = {subject.typed, GuestAuthor(subject.typed).name}
        return [each for each in _of_nobody(subject.production) if each.text in own]
    return list(texts_of(subject.production, person=subject.person, player=subject.player))


def mention_of(names: list[str]) -> re.Pattern[str]:
    """Where one of `names` stands as a whole word, however it is capitalised."""
    joined = "|".join(rf"(?<!\w){re.escape(name)}(?!\w)" for name in names)
    return re.compile(joined or "$^", re.IGNORECASE)
