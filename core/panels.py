"""Places on the pages of core where apps further downstream show what they know.

core must not know rigs or notes, yet a production's front door shows what needs attention there.
An app registers in its AppConfig.ready(): a provider for a place, or one of errands.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from enum import StrEnum
from typing import Any, NamedTuple
from uuid import UUID

from django.http import HttpRequest

from core.access.loaders import Member
from core.models import User


class Place(StrEnum):
    PRODUCTION = "production"  # the front door of a production: what needs attention
    SET = "set"  # the songs in order: what changing from one to the next asks for
    SONG = "song"  # one song: what it changes


class Panel(NamedTuple):
    """A template and what it is rendered with."""

    template: str
    context: Mapping[str, Any]
    sheets: str = ""  # a template that links the style sheets it needs


class Errand(NamedTuple):
    """Something that waits for a person: “3 open notes on your rig”, and where to do it."""

    words: str
    url: str
    icon: str = "circle-dot"


Provider = Callable[[HttpRequest, Any], Panel | None]
Errands = Mapping[UUID, Sequence[Errand]]
ErrandProvider = Callable[[User, Sequence[Member]], Errands]

OfShows = Callable[[HttpRequest, Any], Mapping[UUID, Panel]]

_providers: dict[Place, list[Provider]] = defaultdict(list)
_of_shows: list[OfShows] = []
_errand_providers: list[ErrandProvider] = []


def register(place: Place, provider: Provider) -> None:
    """`provider(request, subject)`, where the subject is the production or the song; the
    production for SET."""
    if provider not in _providers[place]:
        _providers[place].append(provider)


def panels(place: Place, request: HttpRequest, subject: Any) -> list[Panel]:
    found: Iterable[Panel | None] = (p(request, subject) for p in _providers[place])
    return [panel for panel in found if panel is not None]


def register_of_shows(provider: OfShows) -> None:
    """`provider(request, leg)`: a panel for each show of the leg in use, by the show's id, in a
    number of queries that does not grow with them. Its template stands in the show's card: list
    items, each with a link."""
    if provider not in _of_shows:
        _of_shows.append(provider)


def of_shows(request: HttpRequest, leg: Any) -> dict[UUID, list[Panel]]:
    """What is known of each show of the leg, in the order in which apps registered."""
    found: dict[UUID, list[Panel]] = defaultdict(list)
    for provider in _of_shows:
        for show, panel in provider(request, leg).items():
            found[show].append(panel)
    return found


def register_errands(provider: ErrandProvider) -> None:
    """`provider(user, members)`: errands by production id, in queries that do not grow with them.

    `members` is the person in each of their productions (one of them on a production's own page).
    """
    if provider not in _errand_providers:
        _errand_providers.append(provider)


def errands(user: User, members: Sequence[Member]) -> dict[UUID, list[Errand]]:
    """What waits for `user`, by production id; a production where nothing waits is there, empty."""
    waiting: dict[UUID, list[Errand]] = {member.production.pk: [] for member in members}
    for provider in _errand_providers:
        for production, found in provider(user, members).items():
            waiting[production].extend(found)
    return waiting
