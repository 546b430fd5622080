"""What can be found of songs, shows and legs, and people. What is retired says so.

Of a person there are name, roles and the musician they are; never the e-mail address.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import groupby
from uuid import UUID, uuid5

from django.db.models import Prefetch, QuerySet
from django.urls import reverse
from django.utils.translation import gettext as _

from core.models import (
    Leg,
    Membership,
    Player,
    Production,
    SearchEntry,
    SetEntry,
    Show,
    Song,
)
from core.places import IndexEntry

Kind = SearchEntry.Kind


def songs(songs: QuerySet[Song]) -> Iterator[IndexEntry]:
    in_sets = SetEntry.objects.filter(cut=False, set__show__retired_at=None)
    in_order = in_sets.select_related("set__show").order_by("set__show__held_on", "pk")
    for song in songs.prefetch_related("sections", Prefetch("set_entries", in_order)):
        sections = [each.name for each in song.sections.all() if not each.is_retired]
        shows = dict.fromkeys(str(each.set.show) for each in song.set_entries.all())
        played = _("Played at {join}").format(join=", ".join(shows)) if shows else ""
        body = _text(song.reference, song.notes, ", ".join(sections), played)
        title, path = _marked(song.title, song.is_retired), song.get_absolute_url()
        yield IndexEntry(song.production_id, Kind.SONG, song.pk, title, body, path)


def legs(legs: QuerySet[Leg]) -> Iterator[IndexEntry]:
    for leg in legs:
        title, path = _marked(leg.name, leg.is_retired), leg.get_absolute_url()
        yield IndexEntry(leg.production_id, Kind.SHOW, leg.pk, title, leg.notes, path)


def shows(shows: QuerySet[Show]) -> Iterator[IndexEntry]:
    said = SetEntry.objects.exclude(title="", note="")
    for show in shows.select_related("leg").prefetch_related(
        Prefetch("own_set__entries", said.order_by("position"))
    ):
        own = getattr(show, "own_set", None)
        words = [w for e in (own.entries.all() if own else ()) for w in (e.title, e.note) if w]
        body = _text(show.town, show.leg.name, f"{show.held_on:%B}", show.notes, ", ".join(words))
        title = _marked(str(show), show.is_retired)
        path = f"{show.leg.get_absolute_url()}#show-{show.pk}"
        yield IndexEntry(show.leg.production_id, Kind.SHOW, show.pk, title, body, path)


def players(players: Iterable[Player]) -> Iterator[IndexEntry]:
    for player in players:
        title = _marked(player.name, player.is_retired)
        path = reverse("core:players", args=[player.production_id])
        yield IndexEntry(
            player.production_id, Kind.PERSON, player.pk, title, player.instrument, path
        )


def members(held: QuerySet[Membership]) -> Iterator[IndexEntry]:
    """One for each person in each production of `held`, with all their roles."""
    # In this order, because groupby joins only neighbours.
    rows = held.select_related("user", "player").order_by("production", "user", "role")
    for (production, user), roles in groupby(rows, lambda row: (row.production_id, row.user)):
        every = list(roles)
        players = (str(row.player) for row in every if row.player)
        body = _text(", ".join(row.get_role_display() for row in every), *players)
        path = reverse("core:people", args=[production])
        key = subject_of_member(production, user.pk)
        yield IndexEntry(production, Kind.PERSON, key, user.name, body, path)


def subject_of_member(production: UUID, user: UUID) -> UUID:
    """The index knows things by UUID; somebody may be in several productions."""
    # Always the same for the same two, so that an entry is replaced and not doubled.
    return uuid5(production, f"member {user}")


def everything(production: Production) -> Iterator[IndexEntry]:
    """All that can be found of core; queries do not grow with its size."""
    yield from songs(Song.objects.filter(production=production))
    yield from legs(Leg.objects.filter(production=production))
    yield from shows(Show.objects.filter(leg__production=production))
    yield from players(Player.objects.filter(production=production))
    yield from members(Membership.objects.filter(production=production))


def _text(*parts: str) -> str:
    return " · ".join(part.strip() for part in parts if part.strip())


def _marked(title: str, retired: bool) -> str:
    return f"{title} (retired)" if retired else title
