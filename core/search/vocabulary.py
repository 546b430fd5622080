"""The words of a production that a similar word can mean, each under three pieces of it.

Rows of our own in place of a database's trigrams: they need no extension of PostgreSQL, which a
hosted one may not offer, and give the same words on SQLite.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from uuid import UUID

from core.models import Production, SearchEntry, SearchWord
from core.search import similar

# SQLite allowed 999 parameters to a statement for long (from memory); this stays well below.
_AT_ONCE = 400


def keep(rows: Iterable[SearchEntry]) -> None:
    """Put in the words of entries that are not there; few queries, however many entries."""
    words: dict[UUID, set[str]] = defaultdict(set)
    for row in rows:
        every = f"{row.title_words} {row.body_words}".split()
        words[row.production_id].update(word for word in every if similar.is_kept(word))
    for production, of_it in words.items():
        _keep(production, sorted(of_it))


def _keep(production: UUID, words: Sequence[str]) -> None:
    kept = SearchWord.objects.filter(production=production)
    for start in range(0, len(words), _AT_ONCE):
        some = words[start : start + _AT_ONCE]
        known = set(kept.filter(word__in=some).values_list("word", flat=True))
        # No constraint: one who writes the same new word meanwhile need not be waited for, and a
        # word that is there twice is found once.
        SearchWord.objects.bulk_create(
            SearchWord(production_id=production, piece=piece, word=word)
            for word in some
            if word not in known
            for piece in sorted(similar.pieces(word))
        )


def meant(production: Production, terms: Sequence[str]) -> dict[str, list[str]]:
    """For each of `terms` the words it may mean with one letter wrong. One query at most."""
    forgiven = [term for term in terms if similar.is_forgiven(term)]
    if not forgiven:
        return {}
    asked = {piece for term in forgiven for piece in similar.pieces_asked(term)}
    rows = SearchWord.objects.filter(production=production, piece__in=asked)
    known = set(rows.values_list("word", flat=True))
    return {term: words for term in forgiven if (words := similar.choose(term, known))}
