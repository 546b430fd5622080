"""Fill the search of a production, from all who know what there is to find.

A slice at a time, each a transaction of its own: nobody waits long for it, and whoever goes on
after a stop begins where it ended.
"""

from __future__ import annotations

import time
from collections.abc import Iterable
from itertools import islice

from django.db import transaction

from core.languages.choice import as_stored
from core.models import IndexedProduction, Production, SearchEntry, SearchWord
from core.places import SEARCH_CATCH_UP, SEARCH_ENTRIES, SEARCH_FORGET, IndexEntry
from core.search.backend import index_all

# Counted up when there is more to put in, or other words for it: productions are then filled anew.
CONTENTS = 4
_AT_ONCE = 1000  # entries held in memory


def reindex(production: Production) -> int:
    """Empty the index of `production` and fill it anew. Returns how many entries it holds."""
    with transaction.atomic():
        SearchEntry.objects.filter(production=production).delete()
        SearchWord.objects.filter(production=production).delete()
        IndexedProduction.objects.filter(production=production).delete()
    return complete(production)


def complete(production: Production) -> int:
    """Put in what is missing, wherever an earlier filling was stopped; how many entries."""
    catch_up(production)
    return SearchEntry.objects.filter(production=production).count()


def catch_up(production: Production, until: float | None = None) -> bool:
    """Put in what is missing; whether all of it is in then. After `until`, a moment of
    time.monotonic, no other slice is begun."""
    with as_stored():
        return all(SEARCH_CATCH_UP.call(production, until))


def fill_once(production: Production, until: float | None = None) -> bool:
    """Fill the index where it was never filled with what this release knows; else one query."""
    while not _is_filled(production):
        with transaction.atomic():
            # Two who search at once: the second waits and then has less to do.
            Production.objects.select_for_update().get(pk=production.pk)
            if not _is_filled(production):
                _put_in_next(production)
        if until is not None and time.monotonic() >= until:
            return _is_filled(production)
    return True


def _is_filled(production: Production) -> bool:
    return IndexedProduction.objects.filter(production=production, contents=CONTENTS).exists()


def _put_in_next(production: Production) -> None:
    """What one source has to be found; with the first, all that has a history begins anew."""
    state, _ = IndexedProduction.objects.get_or_create(
        production=production, defaults={"contents": IndexedProduction.UNFINISHED}
    )
    if state.contents != IndexedProduction.UNFINISHED:  # of another release
        state.contents, state.sources = IndexedProduction.UNFINISHED, 0
    if state.sources == 0:
        SEARCH_FORGET.call(production)
    with as_stored():
        sources = SEARCH_ENTRIES.call(production)
        _put_in(sources[state.sources])
    state.sources += 1
    if state.sources == len(sources):
        state.contents = CONTENTS
    state.save()


def _put_in(entries: Iterable[IndexEntry]) -> None:
    waiting = iter(entries)
    while some := list(islice(waiting, _AT_ONCE)):
        index_all(some)
