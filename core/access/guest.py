"""Somebody without an account who reads by a link: what they may open, and nothing else.

The views that serve members serve guests, too. What a guest may do is asked of the policy table
with the addresses that the link opens, so no view has a rule of its own for them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import urlencode, urlsplit

from django.core.exceptions import PermissionDenied
from django.http import Http404, QueryDict
from django.utils.translation import gettext as _

from core.access.loaders import Member
from core.access.policy import Action, guest_may
from core.models import GuestLink


@dataclass(frozen=True, slots=True)
class Opened:
    """How an address is read by a guest: with `query`, and with those parameters of `passes` that
    the guest names. Every other parameter is dropped: it could name something else. A `file` is not
    a page: a picture, a sound, a print."""

    query: Mapping[str, str] = field(default_factory=dict)
    passes: frozenset[str] = frozenset()
    file: bool = False

    def asked(self, given: Mapping[str, str]) -> QueryDict:
        taken = {name: value for name, value in given.items() if name in self.passes}
        return QueryDict(urlencode(taken | dict(self.query)))


@dataclass(frozen=True, slots=True)
class Guest:
    """`opens` are paths inside the production, `home` is where the guest's own addresses begin."""

    link: GuestLink
    title: str
    start: str
    opens: Mapping[str, Opened]
    home: str
    form: Any = None  # core.places.GuestForm on the first page, where something is asked
    is_sent: bool = False  # what they answered is on record

    def admit(self, request: Any, production: Any, action: Action) -> None:
        """Put the guest into the request, where members are put. Raises Http404 and
        PermissionDenied."""
        if str(production) != str(self.link.production_id) or request.method not in ("GET", "HEAD"):
            raise Http404(_("No such production."))
        if not guest_may(action, request.path, self.opens):
            raise PermissionDenied(action)
        request.production = self.link.production
        request.member = Member(request.production, [])

    @property
    def inside(self) -> str:
        """What all addresses of the production begin with."""
        return f"/p/{self.link.production_id}/"

    def address(self, url: str) -> str | None:
        """The guest's own address for one of the production; None if the link does not open it."""
        asked = urlsplit(url)
        opened = self.opens.get(asked.path)
        if opened is None:
            return None
        given = QueryDict(asked.query).dict()
        # Of a page that is read with certain parameters, one with others is another page.
        if any(given.get(name) != value for name, value in opened.query.items()):
            return None
        kept = {name: value for name, value in given.items() if name in opened.passes}
        query = f"?{urlencode(kept)}" if kept else ""
        fragment = f"#{asked.fragment}" if asked.fragment else ""
        return f"{self.below(asked.path)}{query}{fragment}"

    def below(self, path: str) -> str:
        """The guest's own address of a path that the link opens."""
        return self.home if path == self.start else f"{self.home}{path.removeprefix(self.inside)}"
