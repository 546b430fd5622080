"""Who knows what there is to find. Apps register in AppConfig.ready(); `reindex` asks them all."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from django.db import transaction

from core.models import Production, SearchEntry
from core.search.backend import Entry, index_all

Source = Callable[[Production], Iterable[Entry]]
_sources: list[Source] = []


def register(source: Source) -> None:
    """`source(production)`: an entry for everything in it that can be found."""
    if source not in _sources:
        _sources.append(source)


def reindex(production: Production) -> int:
    """Empty the index of `production` and fill it anew, as one step. Returns how many entries."""
    with transaction.atomic():
        SearchEntry.objects.filter(production=production).delete()
        return sum(index_all(source(production)) for source in _sources)
