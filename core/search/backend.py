"""The search of a production: put things in, find them.

What matches is decided by core.search.words and core.search.similar alone, so both databases find
the same things. What holds the words as typed stands before what holds similar ones; the order
among these is each database's own (bm25 on SQLite, ts_rank on PostgreSQL).
"""

from __future__ import annotations

import time
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from typing import Any, NamedTuple
from uuid import UUID

from django.db import connection

from core import clock
from core.languages.choice import as_stored
from core.models import Production, SearchEntry
from core.places import SEARCH_CATCH_UP, IndexEntry
from core.search import postgres, sqlite, vocabulary
from core.search.context import Segment, excerpt, segments
from core.search.words import fold, words

PER_PAGE = 20
# Ranking looks at the newest so many, so that a word found everywhere costs no more than this.
RANKED = 2000
MOST_WORDS = 12
# How long one search may go on putting in what it is the first to look for.
WITHIN_S = 2.0
# As many similar words as are read at a glance.
_SHOWN_SIMILAR = 6
_TITLE_LENGTH = 240
_STORED = ("production", "title", "body", "path", "at", "title_words", "body_words")


class Hit(NamedTuple):
    kind: str
    title: list[Segment]
    context: list[Segment]
    path: str
    at: datetime
    is_similar: bool  # found with a letter of a word forgiven


class SearchPage(NamedTuple):
    """One page of hits, best first. `terms` is what was looked for, word by word.

    `has_exact`: something holds the words as they were typed, on this page or an earlier one.
    `similar`: the words that are shown of what was found with a letter forgiven, as written there.
    `is_complete`: all that there is to find is in the index; else a further search puts in more.
    """

    hits: list[Hit]
    terms: list[str]
    page: int
    has_more: bool
    has_exact: bool = False
    similar: Sequence[str] = ()
    is_complete: bool = True


def index(
    production: Production,
    kind: str,
    subject: UUID,
    title: str,
    body: str,
    path: str,
    at: datetime | None = None,
) -> None:
    """Put one thing into the index, or replace what the index holds of it."""
    index_all([IndexEntry(production.pk, kind, subject, title, body, path, at)])


def index_all(entries: Iterable[IndexEntry]) -> int:
    """Put many things into the index, in few statements. Returns how many."""
    with as_stored():
        rows = [_row(entry) for entry in entries]
    SearchEntry.objects.bulk_create(
        rows,
        batch_size=200,
        update_conflicts=True,
        unique_fields=["kind", "subject"],
        update_fields=_STORED,
    )
    vocabulary.keep(rows)
    return len(rows)


def forget(kind: str, subject: UUID) -> None:
    """Take one thing out, if it is in."""
    SearchEntry.objects.filter(kind=kind, subject=subject).delete()


def _row(entry: IndexEntry) -> SearchEntry:
    title = entry.title
    if len(title) > _TITLE_LENGTH:
        title = f"{title[: _TITLE_LENGTH - 1]}…"
    return SearchEntry(
        production_id=entry.production,
        kind=entry.kind,
        subject=entry.subject,
        title=title,
        body=entry.body,
        path=entry.path,
        at=entry.at or clock.now(),
        title_words=fold(title),
        body_words=fold(entry.body),
    )


def search(production: Production, text: str, kind: str | None = None, page: int = 1) -> SearchPage:
    """What holds every word of `text`, whole or as a beginning, title before text; then what holds
    words that differ from those by one letter (core.search.similar).

    All of `text` is taken as words; there are no operators. Takes four queries at most, besides
    those that bring the index up to date.
    """
    # Each word once, and not without end: a whole page pasted into the field is no search.
    terms = list(dict.fromkeys(word.folded for word in words(text)))[:MOST_WORDS]
    if not terms:
        return SearchPage([], [], 1, False)
    is_complete = all(SEARCH_CATCH_UP.call(production, time.monotonic() + WITHIN_S))
    page = max(page, 1)
    start, end = (page - 1) * PER_PAGE, page * PER_PAGE
    # One more than a page is asked for, to know whether there is another without counting all.
    exact = _best(production, kind, terms, {}, end + 1)
    forgiven: list[int] = []
    meant: dict[str, list[str]] = {}
    if len(exact) <= end and (meant := vocabulary.meant(production, terms)):
        forgiven = _best(production, kind, terms, meant, end + 1 - len(exact))
    ids = [*exact, *forgiven]
    shown = ids[start:end]
    entries = SearchEntry.objects.in_bulk(shown)
    also = [word for similar in meant.values() for word in similar]
    as_typed = frozenset(exact)
    hits = [
        _hit(entries[pk], terms if pk in as_typed else [*terms, *also], pk not in as_typed)
        for pk in shown
        # An entry may be taken out between the two queries.
        if pk in entries
    ]
    return SearchPage(
        hits, terms, page, len(ids) > end, bool(exact), _similar(hits, also), is_complete
    )


def _best(
    production: Production,
    kind: str | None,
    terms: Sequence[str],
    meant: Mapping[str, Sequence[str]],
    most: int,
) -> list[int]:
    """Ids of entries, best first, `most` at most.

    Without `meant` they hold all of `terms`. With it, they hold one of the words `meant` in place
    of a term, and not all terms as typed.
    """
    engine: Any = postgres if connection.vendor == "postgresql" else sqlite
    values = [engine.query_of(terms, meant), engine.scope(production.pk)]
    # Only our own text is put in; what somebody typed goes in as a parameter.
    statement = engine.STATEMENT.format(and_kind=" AND kind = %s" if kind else "")
    values += [kind] if kind else []
    with connection.cursor() as cursor:
        cursor.execute(statement, [*values, RANKED, most])
        return [row[0] for row in cursor.fetchall()]


def _hit(entry: SearchEntry, marked: Sequence[str], is_similar: bool) -> Hit:
    title, context = segments(entry.title, marked), excerpt(entry.body, marked)
    return Hit(entry.kind, title, context, entry.path, entry.at, is_similar)


def _similar(hits: Iterable[Hit], also: Sequence[str]) -> list[str]:
    """The words of `also` that are shown in `hits`, once each, as they are written there."""
    known = frozenset(also)
    shown: dict[str, str] = {}
    for hit in hits:
        for piece in (*hit.title, *hit.context):
            if piece.is_hit and hit.is_similar and (folded := fold(piece.text)) in known:
                shown.setdefault(folded, piece.text)
    return list(shown.values())[:_SHOWN_SIMILAR]
