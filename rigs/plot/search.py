"""What can be found of the plot: each riser and each drop of mains, with what it feeds."""

from __future__ import annotations

from collections.abc import Iterator
from uuid import UUID

from django.urls import reverse

from core.models import Production, SearchEntry
from core.places import IndexEntry
from core.search.backend import index_all
from rigs.lists.drops import Fed, drops_of
from rigs.models import MainsDrop, Riser
from rigs.plot.words import placed_words, size_words


def things(production: Production) -> Iterator[IndexEntry]:
    """One entry for each riser and each drop; as many queries for many as for one."""
    for riser in Riser.objects.filter(production=production).select_related("player"):
        said = (str(riser.player or ""), size_words(riser), placed_words(riser), riser.words)
        yield _entry(production, riser, "riser", said)
    fed = {each.drop.pk: each for each in drops_of(production)}
    for drop in MainsDrop.objects.filter(production=production):
        yield _entry(production, drop, "mains", _of_drop(fed.get(drop.pk, Fed(drop))))


def _of_drop(fed: Fed) -> tuple[str, ...]:
    feeds = ", ".join(f"{unit} ({unit.rig.player})" for unit in fed.units)
    drop = fed.drop
    return ("mains", drop.labelled, drop.place, placed_words(drop), drop.supply, feeds)


def index_plot(production: Production) -> None:
    """Put the risers and drops in anew, as every change of the plot does."""
    index_all(things(production))


def _entry(
    production: Production, thing: Riser | MainsDrop, kind: str, said: tuple[str, ...]
) -> IndexEntry:
    body = "" if thing.is_retired else " · ".join(filter(None, said))
    title = f"{thing.name} (retired)" if thing.is_retired else thing.name
    # Its own page is for those who may change it; the plot is for everybody.
    path = f"{reverse('rigs:plot', args=[production.pk])}#{kind}-{thing.pk}"
    key: UUID = thing.pk
    return IndexEntry(production.pk, SearchEntry.Kind.GEAR, key, title, body, path)
