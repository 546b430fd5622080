"""Fill the search of a production anew, from all who know what there is to find."""

from __future__ import annotations

from django.db import transaction

from core.models import Production, SearchEntry
from core.places import SEARCH_ENTRIES, SEARCH_REBUILD
from core.search.backend import index_all


def reindex(production: Production) -> int:
    """Empty the index of `production` and fill it anew, as one step. Returns how many entries."""
    with transaction.atomic():
        SearchEntry.objects.filter(production=production).delete()
        put_in = sum(index_all(entries) for entries in SEARCH_ENTRIES.call(production))
        return put_in + sum(SEARCH_REBUILD.call(production))
