"""Every place where core shows, or asks for, what apps further downstream know.

core must not know rigs or notes. They plug in when they are ready (`AppConfig.ready()`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date, datetime
from typing import TYPE_CHECKING, Any, NamedTuple
from uuid import UUID

from core.hooks import Hook

if TYPE_CHECKING:
    from django.db.models import Model
    from django.http import HttpRequest, QueryDict
    from django_stubs_ext import StrOrPromise

    from core.access.guest import Opened
    from core.access.loaders import Member
    from core.access.policy import Action
    from core.models import GuestLink, Leg, Production, Show, Song, User


class Panel(NamedTuple):
    """A template and what it is rendered with, for a place on a page."""

    template: str
    context: Mapping[str, Any]
    sheets: str = ""  # a template that links the style sheets it needs


class ThumbButton(NamedTuple):
    """What is pressed most, on every page of a production."""

    url: str
    label: StrOrPromise
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

    words: StrOrPromise
    url: str
    icon: str = "circle-dot"


class Step(NamedTuple):
    """One of the first things to do. Without a `url` it cannot be done yet, or is for `by`, who are
    read after “by”: “the production manager”."""

    words: StrOrPromise
    done: bool
    url: str = ""
    by: StrOrPromise = ""


class Shared(NamedTuple):
    """What a guest link names, as it is now, and every address that it opens.

    `parts` are keys and titles of sections that can be shared by themselves.
    """

    what: str  # “input list”
    title: str  # “Input list, 4 Dec 2026 · Weir Hall”
    start: str  # the path of the first page
    opens: Mapping[str, Opened]
    over_on: date | None = None  # the day after which nobody needs it
    parts: Sequence[tuple[str, str]] = ()
    asks: Action | None = None  # what a guest may be asked for by those who may do it themselves


class GuestForm(NamedTuple):
    """What a guest is asked: a template for the fields of a form that knows `form` and `context`.

    `is_done` once what was sent is put down; a form that was refused comes back as it was typed.
    """

    template: str
    form: Any
    context: Mapping[str, Any]
    is_done: bool = False


class Taker(NamedTuple):
    """A form that takes what a telephone shared into the app: which of its fields takes a picture,
    a sound, words; empty for what it has no field for."""

    label: StrOrPromise
    icon: str
    url: str
    picture: str = ""
    sound: str = ""
    words: str = ""


class Takers(NamedTuple):
    """Forms about one thing, such as a rig, which `heading` names."""

    heading: str
    forms: Sequence[Taker]


class Way(NamedTuple):
    """Where a shortcut leads in one production."""

    label: str
    url: str


class Shortcut(NamedTuple):
    """What the icon of the installed app offers. `ways` leads on, for somebody in their
    productions; where it finds none, they are told `nowhere`. The key is that of its address and
    of its picture (core/img/shortcut-<key>-96.png)."""

    key: str
    label: StrOrPromise
    ways: Callable[[Sequence[Member]], Sequence[Way]]
    nowhere: StrOrPromise


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
# By model, the lookup from one of its rows to its production.
LOGGED: Hook[[], Mapping[type[Model], str]] = Hook("tables whose records the log holds")
SEARCH_FORGET: Hook[[Production], None] = Hook("forget what was indexed, to do it anew")
# What stands in the address of each such file, and in no other's.
GONE_FILES: Hook[[Production], Sequence[str]] = Hook(
    "pictures and sounds that were removed, so that devices drop them"
)
# By its kind and id, with the keys of the sections that are shared, none for the whole. None for
# what is not there any more: its links open nothing.
SHARED: Hook[[Production, str, UUID, Sequence[str]], Shared] = Hook(
    "what a link for a guest names, and which addresses it opens"
)
# With what the guest sent, None before; None where nothing of that kind can be answered.
GUEST_ASKED: Hook[[GuestLink, QueryDict | None], GuestForm] = Hook(
    "what a guest is asked, and how it is put down"
)
# By production, for somebody in those productions, in a fixed number of queries.
INCOMING: Hook[[Sequence[Member]], Mapping[UUID, Sequence[Takers]]] = Hook(
    "forms that take what a telephone shared into the app"
)
SHORTCUTS: Hook[[], Shortcut] = Hook("what the icon of the installed app offers")
