"""How the search divides text into words: alike on both databases, in index and query. Pure.

Case, accents and width make no difference, apostrophes inside a word are left out ("player's" is
"players"), and everything else that is neither letter nor digit parts words ("high-pass" is two).
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from functools import lru_cache
from typing import NamedTuple

# PostgreSQL leaves longer words out of its index; ours are cut, in the index and in the query.
LONGEST = 64
_APOSTROPHES = frozenset("'’ʼ`´")
_PART = " "


class Word(NamedTuple):
    """A word as it is compared, and where in the text it stands."""

    folded: str
    start: int
    end: int


def words(text: str) -> Iterator[Word]:
    """The words of `text`, in order."""
    folded, start, end = "", 0, 0
    for position, char in enumerate(text):
        for piece in _fold(char):
            if piece != _PART:
                start = position if not folded else start
                folded, end = folded + piece, position + 1
            elif folded:
                yield Word(folded[:LONGEST], start, end)
                folded = ""
    if folded:
        yield Word(folded[:LONGEST], start, end)


def fold(text: str) -> str:
    """`text` as it is put into the index: its words, one space between."""
    return " ".join(word.folded for word in words(text))


@lru_cache(maxsize=4096)
def _fold(char: str) -> str:
    if char in _APOSTROPHES:
        return ""
    # Twice: taking a letter apart may bring up one that has a case again.
    pieces = unicodedata.normalize("NFKD", char.casefold()).casefold()
    return "".join(_piece(piece) for piece in pieces)


def _piece(piece: str) -> str:
    group = unicodedata.category(piece)[0]
    if group in "LN":
        return piece
    return "" if group == "M" else _PART  # a mark belongs to its letter and is left out
