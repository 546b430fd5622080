"""Full text on PostgreSQL: a generated tsvector with a GIN index (migration 0002)."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from uuid import UUID

# Weights of D, C, B, A: the title is A, the text is B.
STATEMENT = """
SELECT id FROM (
  SELECT id, at, ts_rank('{{0, 0, 0.15, 1}}', document, query) AS score
  FROM core_searchentry, to_tsquery('simple', %s) AS query
  WHERE document @@ query AND production_id = %s{and_kind}
  ORDER BY at DESC, id DESC LIMIT %s
) AS found ORDER BY score DESC, at DESC, id DESC LIMIT %s OFFSET %s"""


def query_of(terms: Sequence[str]) -> str:
    """Every word must be there, whole or as a beginning. Words hold letters and digits only."""
    # Quoted for to_tsquery, which would read & and ! as operators; a word has no quotes in it.
    return " & ".join(f"'{word}':*" for word in terms)


def scope(production: UUID) -> Any:
    return production
