"""Fill the search of a production, from all who know what there is to find."""

from __future__ import annotations

from django.db import transaction

from core.models import IndexedProduction, Production, SearchEntry, SearchWord
from core.places import SEARCH_ENTRIES, SEARCH_REBUILD
from core.search.backend import index_all

# Counted up when there is more to put in, or other words for it: productions are then filled anew.
CONTENTS = 1


def reindex(production: Production) -> int:
    """Empty the index of `production` and fill it anew, as one step. Returns how many entries."""
    with transaction.atomic():
        SearchEntry.objects.filter(production=production).delete()
        SearchWord.objects.filter(production=production).delete()
        return _fill(production)


def fill_once(production: Production) -> None:
    """Fill the index where it was never filled with what this release knows; else one query."""
    if _is_filled(production):
        return
    with transaction.atomic():
        # Two who search at once: the second waits and then has nothing to do.
        Production.objects.select_for_update().get(pk=production.pk)
        if not _is_filled(production):
            _fill(production)


def _is_filled(production: Production) -> bool:
    return IndexedProduction.objects.filter(production=production, contents=CONTENTS).exists()


def _fill(production: Production) -> int:
    put_in = sum(index_all(entries) for entries in SEARCH_ENTRIES.call(production))
    put_in += sum(SEARCH_REBUILD.call(production))
    IndexedProduction.objects.update_or_create(
        production=production, defaults={"contents": CONTENTS}
    )
    return put_in
