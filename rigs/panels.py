"""Places on the pages of rigs where apps further downstream show what they know, and what rigs
asks them: which state of a rig its player signed last, and the words its sound goes by.

rigs must not know notes, yet the rig page opens with the signed words and ends with what is open.
An app registers a provider for a place in its AppConfig.ready(); the page asks for its panels.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import datetime
from enum import StrEnum
from typing import Any, NamedTuple
from uuid import UUID

from django.http import HttpRequest


class Place(StrEnum):
    RIG_TOP = "rig top"  # how it should sound; is it still what was signed
    RIG_WHY = "rig why"  # the change log
    RIG_OPEN = "rig open"  # open notes and trials
    INPUT = "input"  # notes, trials and changes of one input
    REVISION = "revision"  # what was to be heard before and after one change
    RIG_ROWS = "rig rows"  # one badge row for each rig of a list


class Panel(NamedTuple):
    """A template and what it is rendered with."""

    template: str
    context: Mapping[str, Any]


Provider = Callable[[HttpRequest, Any], Panel | None]
_providers: dict[Place, list[Provider]] = defaultdict(list)


def register(place: Place, provider: Provider) -> None:
    """`provider(request, subject)`: the rig, the input, the revision, or (RIG_ROWS) the rigs."""
    if provider not in _providers[place]:
        _providers[place].append(provider)


def panels(place: Place, request: HttpRequest, subject: Any) -> list[Panel]:
    found: Iterable[Panel | None] = (p(request, subject) for p in _providers[place])
    return [panel for panel in found if panel is not None]


class Signed(NamedTuple):
    """The newest state of a rig that its player accepted."""

    number: int  # of the revision
    by: str
    at: datetime


SignedProvider = Callable[[Any], Signed | None]
_signed: list[SignedProvider] = []


def register_signed(provider: SignedProvider) -> None:
    """`provider(rig)`: what the player of a rig signed last, in one query; None if nothing yet."""
    if provider not in _signed:
        _signed.append(provider)


def last_signed(rig: Any) -> Signed | None:
    return next((found for provider in _signed if (found := provider(rig)) is not None), None)


class SoundWords(NamedTuple):
    """How a rig should sound; `by` and `at` where a player has signed these words."""

    text: str
    by: str = ""
    at: datetime | None = None

    @property
    def signed(self) -> bool:
        return self.at is not None


WordsProvider = Callable[[Sequence[Any]], Mapping[UUID, SoundWords]]
_words: list[WordsProvider] = []


def register_words(provider: WordsProvider) -> None:
    """`provider(rigs)`: the words that are signed, by the id of the rig, in a fixed number of
    queries; rigs without any are left out."""
    if provider not in _words:
        _words.append(provider)


def sound_words(rigs: Sequence[Any]) -> dict[UUID, SoundWords]:
    """The words that each of `rigs` goes by: as they were signed, else as they are written on it.
    Rigs of which nobody has said anything are left out."""
    found = {rig.pk: SoundWords(rig.sound) for rig in rigs if rig.sound}
    for provider in _words if rigs else ():
        found |= provider(rigs)
    return found
