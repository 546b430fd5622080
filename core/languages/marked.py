"""Marks words for the catalogues where no Django is known: what measures and computes, and the
processes that it runs in. They are translated where they are shown, by `gettext(words)` or, with
figures in them, by `core.languages.words.told`."""

from __future__ import annotations

from collections.abc import Sequence
from functools import reduce
from typing import Any


def gettext_noop(words: str) -> str:
    """`words` as they are; their name lets xgettext find them."""
    return words


class Said(str):
    """A sentence in English that knows its message and figures, to be told in another language.

    As a text it is the English one: that is what is stored, compared and measured by. A figure is
    a number, words as they are, another `Said`, or a tuple of them for “A, B and C”.
    """

    message: str
    plural: str
    n: int
    figures: dict[str, Any]

    def __new__(cls, message: str, plural: str = "", n: int = 1, /, **figures: Any) -> Said:
        shape = plural if plural and n != 1 else message
        shown = {name: _listed(each) for name, each in figures.items()}
        made = super().__new__(cls, shape.format(n=n, **shown))
        made.message, made.plural, made.n, made.figures = message, plural, n, figures
        return made

    def __reduce__(self) -> tuple[Any, ...]:
        return _said_again, (self.message, self.plural, self.n, self.figures)


def ngettext_lazy(one: str, many: str, n: int, /, **figures: Any) -> Said:
    """A counted sentence; `{n}` is how many. Its name lets xgettext find both."""
    return Said(one, many, n, **figures)


def in_a_row(parts: Sequence[str], pair: str = gettext_noop("{before}, {after}")) -> str:
    """“A, B, C” of what may be told in another language; empty for nothing."""
    if not parts:
        return ""
    return reduce(lambda before, after: Said(pair, before=before, after=after), parts)


def both_said(first: str, second: str) -> str:
    """One sentence after the other; either may be empty."""
    if not (first and second):
        return first or second
    return Said(gettext_noop("{sentence} {next}"), sentence=first, next=second)


def _said_again(message: str, plural: str, n: int, figures: dict[str, Any]) -> Said:
    return Said(message, plural, n, **figures)


def _listed(figure: Any) -> Any:
    if not isinstance(figure, tuple):
        return figure
    *before, last = figure
    return f"{', '.join(before)} and {last}" if before else last
