"""Full text on PostgreSQL: a generated tsvector with a GIN index (migration 0002)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any
from uuid import UUID

# Weights of D, C, B, A: the title is A, the text is B.
STATEMENT = """
SELECT id FROM (
  SELECT id, at, ts_rank('{{0, 0, 0.15, 1}}', document, query) AS score
  FROM core_searchentry, to_tsquery('simple', %s) AS query
  WHERE document @@ query AND production_id = %s{and_kind}
  ORDER BY at DESC, id DESC LIMIT %s
) AS found ORDER BY score DESC, at DESC, id DESC LIMIT %s"""


def query_of(terms: Sequence[str], meant: Mapping[str, Sequence[str]]) -> str:
    """The query for entries that hold each of `terms`, whole or as the beginning of a word.

    With `meant`, the words that a term may mean stand beside it as alternatives, and entries that
    hold all terms as typed are left out. Words hold letters and digits only.
    """
    # Quoted for to_tsquery, which would read & and ! as operators; a word has no quotes in it.
    typed = {word: f"'{word}':*" for word in terms}
    exact = " & ".join(typed.values())
    if not meant:
        return exact
    either = (
        " | ".join([typed[word], *(f"'{other}'" for other in meant.get(word, ()))])
        for word in terms
    )
    return " & ".join([*(f"({each})" for each in either), f"!({exact})"])


def scope(production: UUID) -> Any:
    return production
