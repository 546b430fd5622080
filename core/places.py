"""Every place where core shows, or asks for, what apps further downstream know.

core must not know rigs or notes. They plug in when they are ready (`AppConfig.ready()`).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from typing import TYPE_CHECKING, Any, NamedTuple
from uuid import UUID

from core.hooks import Hook

if TYPE_CHECKING:
    from django.http import HttpRequest

    from core.access.loaders import Member
    from core.models import Leg, Production, Show, Song, User


class Panel(NamedTuple):
    """A template and what it is rendered with, for a place on a page."""

    template: str
    context: Mapping[str, Any]
    sheets: str = ""  # a template that links the style sheets it needs


class ThumbButton(NamedTuple):
    """What is pressed most, on every page of a production."""

    url: str
    label: str
    icon: str


class IndexEntry(NamedTuple):
    """Something worth finding. `subject` is its id, `path` the address that shows it."""

    production: UUID
    kind: str
    subject: UUID
    title: str
    body: str
    path: str
    at: datetime | None = None


class ToDo(NamedTuple):
    """Something that waits for a person: “3 open notes on your rig”, and where to do it."""

    words: str
    url: str
    icon: str = "circle-dot"


class Step(NamedTuple):
    """One of the first things to do. Without a `url` it cannot be done yet, or is for `by`."""

    words: str
    done: bool
    url: str = ""
    by: str = ""


PRODUCTION: Hook[[HttpRequest, Production], Panel] = Hook("panels on a production's front page")
SET: Hook[[HttpRequest, Production], Panel] = Hook("panels on the page of the set")
SONG: Hook[[HttpRequest, Song], Panel] = Hook("panels on the page of a song")
# By the show's id, for each show of the leg in use, in a number of queries that does not grow with
# the shows. Its template stands in the card of a show: list items, each with a link.
SHOWS: Hook[[HttpRequest, Leg], Mapping[UUID, Panel]] = Hook("lines in the card of each show")
LEG: Hook[[HttpRequest, Leg], Panel] = Hook("links on the page of a leg")
# In the transaction that made it, by whom; a sentence on what it begins with.
NEW_SHOW: Hook[[Show, User], str] = Hook("what a show that was just made begins with")
# By the production's id, for each production the person is a member of (one of them on a
# production's own page), in a number of queries that does not grow with the productions.
TO_DOS: Hook[[User, Sequence[Member]], Mapping[UUID, Sequence[ToDo]]] = Hook(
    "what waits for a person"
)
# For somebody in one production, in a fixed number of queries; nothing once there is no need.
FIRST_STEPS: Hook[[Member], Sequence[Step]] = Hook("what to do first in a new production")
# On every page of a production, so it may ask the database nothing.
THUMB_BUTTON: Hook[[HttpRequest, Member], ThumbButton] = Hook(
    "the button at the thumb on every page of a production"
)
SEARCH_ENTRIES: Hook[[Production], Iterable[IndexEntry]] = Hook(
    "everything in it that can be found"
)
# For what has a history to read, and is put in by the first search after a change.
# A slice at a time, until a moment of time.monotonic, or all of it without one.
SEARCH_CATCH_UP: Hook[[Production, float | None], bool] = Hook(
    "index what was written since the last search; whether all of it is in"
)
SEARCH_FORGET: Hook[[Production], None] = Hook("forget what was indexed, to do it anew")
