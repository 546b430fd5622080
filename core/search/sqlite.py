"""Full text on SQLite: an FTS5 table over the entries (migration 0002), kept by triggers."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any
from uuid import UUID

from django.db import connections
from django.db.backends.base.base import BaseDatabaseWrapper

# bm25 is smaller for the better; the numbers weigh title and text.
STATEMENT = """
SELECT id FROM (
  SELECT entry.id AS id, entry.at AS at, bm25(core_searchentry_fts, 8.0, 1.0) AS score
  FROM core_searchentry_fts JOIN core_searchentry AS entry ON entry.id = core_searchentry_fts.rowid
  WHERE core_searchentry_fts MATCH %s AND entry.production_id = %s{and_kind}
  ORDER BY entry.at DESC, entry.id DESC LIMIT %s
) ORDER BY score, at DESC, id DESC LIMIT %s"""

# An external-content table of FTS5 has to be told the old words to forget them.
_TAKE_OUT = (
    "INSERT INTO core_searchentry_fts (core_searchentry_fts, rowid, title_words, body_words) "
    "VALUES ('delete', old.id, old.title_words, old.body_words);"
)
_PUT_IN = (
    "INSERT INTO core_searchentry_fts (rowid, title_words, body_words) "
    "VALUES (new.id, new.title_words, new.body_words);"
)
_TRIGGERS = (
    ("added", "AFTER INSERT", _PUT_IN),
    ("removed", "AFTER DELETE", _TAKE_OUT),
    ("changed", "AFTER UPDATE OF title_words, body_words", _TAKE_OUT + _PUT_IN),
)


def query_of(terms: Sequence[str], meant: Mapping[str, Sequence[str]]) -> str:
    """The query for entries that hold each of `terms`, whole or as the beginning of a word.

    With `meant`, the words that a term may mean stand beside it as alternatives, and entries that
    hold all terms as typed are left out. Words hold letters and digits only.
    """
    # Quoted, so that AND, OR, NOT and NEAR are words and no operators of FTS5.
    typed = {word: f'"{word}"*' for word in terms}
    exact = " AND ".join(typed.values())
    if not meant:
        return exact
    either = (
        " OR ".join([typed[word], *(f'"{other}"' for other in meant.get(word, ()))])
        for word in terms
    )
    return f"({' AND '.join(f'({each})' for each in either)}) NOT ({exact})"


def scope(production: UUID) -> Any:
    # Django keeps a UUID as 32 hexadecimal digits on SQLite, and this statement is not Django's.
    return production.hex


def ensure_triggers(connection: BaseDatabaseWrapper) -> None:
    """Make the triggers that keep the index; a later migration may rebuild the table and so drop
    them. Safe to run again."""
    if "core_searchentry_fts" not in connection.introspection.table_names():
        return
    with connection.cursor() as cursor:
        for name, event, body in _TRIGGERS:
            cursor.execute(
                f"CREATE TRIGGER IF NOT EXISTS core_searchentry_{name} {event} "
                f"ON core_searchentry BEGIN {body} END"
            )


def after_migrate(using: str, **_: Any) -> None:
    if connections[using].vendor == "sqlite":
        ensure_triggers(connections[using])
