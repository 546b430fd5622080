"""The search of a production: put things in, find them.

What matches is decided by core.search.words alone, so both databases find the same things; the
order among them is each database's own (bm25 on SQLite, ts_rank on PostgreSQL).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Any, NamedTuple
from uuid import UUID

from django.db import connection

from core import clock
from core.models import Production, SearchEntry
from core.places import SEARCH_CATCH_UP, IndexEntry
from core.search import postgres, sqlite
from core.search.context import Segment, excerpt, segments
from core.search.words import fold, words

PER_PAGE = 20
# Ranking looks at the newest so many, so that a word found everywhere costs no more than this.
RANKED = 2000
MOST_WORDS = 12
_TITLE_LENGTH = 240
_STORED = ("production", "title", "body", "path", "at", "title_words", "body_words")


class Hit(NamedTuple):
    kind: str
    title: list[Segment]
    context: list[Segment]
    path: str
    at: datetime


class SearchPage(NamedTuple):
    """One page of hits, best first. `terms` is what was looked for, word by word."""

    hits: list[Hit]
    terms: list[str]
    page: int
    has_more: bool


def index(
    production: Production,
    kind: str,
    subject: UUID,
    title: str,
    body: str,
    path: str,
    at: datetime | None = None,
) -> None:
    """Put one thing in, or put it in anew."""
    index_all([IndexEntry(production.pk, kind, subject, title, body, path, at)])


def index_all(entries: Iterable[IndexEntry]) -> int:
    """Put many things in, or in anew, in few statements. Returns how many."""
    rows = [_row(entry) for entry in entries]
    SearchEntry.objects.bulk_create(
        rows,
        batch_size=200,
        update_conflicts=True,
        unique_fields=["kind", "subject"],
        update_fields=_STORED,
    )
    return len(rows)


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
    """What holds every word of `text`, whole or as a beginning, title before text.

    Whatever `text` holds is taken as words; there are no operators. Two queries, and what it takes
    to catch up.
    """
    # Each word once, and not without end: a whole page pasted into the field is no search.
    terms = list(dict.fromkeys(word.folded for word in words(text)))[:MOST_WORDS]
    if not terms:
        return SearchPage([], [], 1, False)
    SEARCH_CATCH_UP.call(production)
    page = max(page, 1)
    ids = _best(production, terms, kind, (page - 1) * PER_PAGE)
    entries = SearchEntry.objects.in_bulk(ids[:PER_PAGE])
    hits = [_hit(entries[pk], terms) for pk in ids[:PER_PAGE] if pk in entries]
    # One more than a page was asked for, to know whether there is another without counting all.
    return SearchPage(hits, terms, page, len(ids) > PER_PAGE)


def _best(production: Production, terms: Sequence[str], kind: str | None, offset: int) -> list[int]:
    engine: Any = postgres if connection.vendor == "postgresql" else sqlite
    values = [engine.query_of(terms), engine.scope(production.pk)]
    # Only our own text is put in; what somebody typed goes in as a parameter.
    statement = engine.STATEMENT.format(and_kind=" AND kind = %s" if kind else "")
    values += [kind] if kind else []
    with connection.cursor() as cursor:
        cursor.execute(statement, [*values, RANKED, PER_PAGE + 1, offset])
        return [row[0] for row in cursor.fetchall()]


def _hit(entry: SearchEntry, terms: Sequence[str]) -> Hit:
    return Hit(
        entry.kind, segments(entry.title, terms), excerpt(entry.body, terms), entry.path, entry.at
    )
