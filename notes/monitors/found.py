"""What the search finds of monitor mixes: what is in them, and what was wished at shows."""

from __future__ import annotations

from collections.abc import Iterator
from uuid import UUID

from django.db.models import QuerySet
from django.urls import reverse

from core.models import Production, SearchEntry
from core.places import IndexEntry
from notes.models import MixWish, MonitorMix
from notes.monitors.refs import Known
from notes.monitors.services import mixes_now
from notes.monitors.words import want_in_words
from notes.search.entries import party_words, text
from notes.search.index import on_save

WORDS = SearchEntry.Kind.PEOPLE


def connect() -> None:
    """Called once, when the app is ready."""
    on_save(MonitorMix, mixes)
    on_save(MixWish, wishes)


def everything(production: Production) -> Iterator[IndexEntry]:
    """Queries do not grow with the number of mixes."""
    yield from mixes(MonitorMix.objects.filter(production=production))
    yield from wishes(MixWish.objects.filter(mix__production=production))


def mixes(mixes: QuerySet[MonitorMix]) -> Iterator[IndexEntry]:
    """Whose each is, what is in it in their words, and the notes on EQ and limiter.

    Three queries for each production besides.
    """
    known: dict[UUID, Known] = {}
    now = mixes_now(mixes.select_related("player"))
    for each in now:
        place = each.mix.production_id
        if place not in known:
            known[place] = Known(place)
        names = known[place]
        state = each.state
        wants = (want_in_words(want, names.name) for want in state.wants)
        body = text(str(each.mix.get_kind_display()), *wants, state.eq, state.limiter)
        title = f"Monitor mix: {each.mix.name}, {each.mix.whom}"
        if each.mix.is_retired:
            title += " (retired)"
        path, at = each.mix.get_absolute_url(), each.newest.at
        yield IndexEntry(place, WORDS, each.mix.pk, title, body, path, at)


def wishes(wishes: QuerySet[MixWish]) -> Iterator[IndexEntry]:
    """What was wished in a mix at a show."""
    for each in wishes.select_related("mix", "show"):
        place = each.mix.production_id
        title = f"Wish: {each.mix.name}, {each.show}"
        path = reverse("notes:show_mixes", args=[place, each.show_id])
        body = party_words(each.words, each.by_name)
        yield IndexEntry(place, WORDS, each.pk, title, body, path, each.at)
