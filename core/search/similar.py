"""Which words a word with one wrong letter may mean: alike on both databases. Pure.

A letter may be another one, be missing, be one too many, or stand before its neighbour instead of
after it (the edits of Damerau, Communications of the ACM 7, 1964). Figures are never forgiven: one
wrong figure in a serial number, a type or a date is another thing.
"""

from __future__ import annotations

from collections.abc import Iterable
from os.path import commonprefix

# Words with fewer letters have too many neighbours: bass and brass, amp and ramp.
SHORTEST = 5
# How many letters a word may go on for after what was typed: trunpet finds trumpets and trumpeter.
_LONGER = 3
# Each becomes an alternative of the query, which has to stay short.
_MOST = 40


def is_kept(word: str) -> bool:
    """Whether a folded word of the index can be meant by a similar one."""
    return len(word) >= SHORTEST and word.isalpha()


def is_forgiven(term: str) -> bool:
    """Whether a folded word that was typed may have a wrong letter, one missing included."""
    return len(term) >= SHORTEST - 1 and term.isalpha()


def similar(term: str, word: str) -> bool:
    """Whether `word`, or a beginning of it, is `term` but for one wrong letter.

    False where `term` is a beginning of `word` as it stands.
    """
    if not is_forgiven(term) or not is_kept(word) or word.startswith(term):
        return False
    if len(term) < SHORTEST:
        return len(word) == SHORTEST and _missing(term, word)
    return len(word) <= len(term) + _LONGER and _one_edit(term, word)


def pieces(word: str) -> set[str]:
    """What a word of the index is kept under: its beginning, the same without the third letter, and
    three letters from the second and from the third."""
    return {f"^{word[:3]}", f"{word[:2]}_{word[3]}", word[1:4], word[2:5]}


def pieces_asked(term: str) -> set[str]:
    """Every word similar to `term` is kept under one of these, by where the wrong letter is.

    After the third letter the beginning is right. At the third, the first two and what follows are
    right. Before it, the letters from the third are right, at their place or beside it.
    """
    first, second, third, fourth = (term[at] for at in range(4))
    beginning = {f"^{term[:3]}", f"^{first}{second}{fourth}", f"^{first}{third}{second}"}
    around = {f"{first}{second}_{fourth}", f"{first}{second}_{third}"}
    return {*beginning, *around, term[1:4], term[2:5]}


def choose(term: str, known: Iterable[str]) -> list[str]:
    """Those of `known` that are similar to `term`: whole words before beginnings, up to a limit."""
    meant = {word for word in known if similar(term, word)}

    def goes_on(word: str) -> int:
        return max(len(word) - len(term) - 1, 0)

    return sorted(meant, key=lambda word: (goes_on(word), word))[:_MOST]


def _one_edit(term: str, word: str) -> bool:
    at = len(commonprefix([term, word]))
    rest, crossed = term[at + 1 :], term[at : at + 2][::-1]
    return (
        word[at + 1 :].startswith(rest)
        or word[at:].startswith(rest)
        or _missing(term, word)
        or (len(crossed) == 2 and word[at:].startswith(crossed + term[at + 2 :]))
    )


def _missing(term: str, word: str) -> bool:
    at = len(commonprefix([term, word]))
    return word[at + 1 :].startswith(term[at:])
