"""Who knows what there is to find. Apps register in AppConfig.ready(); `reindex` asks them all."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from django.db import transaction

from core.models import Production, SearchEntry
from core.search.backend import Entry, before_search, index_all

Source = Callable[[Production], Iterable[Entry]]
_sources: list[Source] = []
_rebuilders: list[Callable[[Production], int]] = []


def register(source: Source) -> None:
    """`source(production)`: an entry for everything in it that can be found."""
    if source not in _sources:
        _sources.append(source)


def follow(*, catch_up: Callable[[Production], None], rebuild: Callable[[Production], int]) -> None:
    """For what has a history to read: `catch_up` puts in what was written since it was last
    called, before every search; `rebuild` puts everything in and returns how many entries."""
    before_search(catch_up)
    _rebuilders.append(rebuild)


def reindex(production: Production) -> int:
    """Empty the index of `production` and fill it anew, as one step. Returns how many entries."""
    with transaction.atomic():
        SearchEntry.objects.filter(production=production).delete()
        return sum(index_all(source(production)) for source in _sources) + sum(
            rebuild(production) for rebuild in _rebuilders
        )
