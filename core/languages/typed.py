"""Words that people type and a parser knows, in English and in each language of the catalogues.

They are marked as one message per meaning, `gettext_lazy("encore|encores")`: what means the same
stands between bars, and a translator writes as many as are usual. English is read first, so that no
language takes a word away from it. What is read does not depend on who reads it.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from functools import cached_property
from typing import TYPE_CHECKING, Generic, TypeVar

from django.utils.translation import gettext_lazy, pgettext_lazy

from core.languages.words import in_each_language

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

T = TypeVar("T")
# What a keyboard for Japanese writes in place of the marks of a line: each is one character, so
# that places in a text stay.
_NARROW = {code: code - 0xFEE0 for code in range(0xFF01, 0xFF5F)}
_NARROW |= {ord("　"): ord(" "), ord("、"): ord(","), ord("〜"): ord("–"), ord("～"): ord("–")}
_UNSPACED = 0x3000  # the first of the signs of Japanese, which writes no spaces
# Between things in a list that is typed.
COMMAS = ",，、"
SEMICOLONS = ";；"
_DASHES = r"[-–—−〜～]|\.\."  # noqa: RUF001
_UP_TO = pgettext_lazy("typed between two figures", "to|up to")


def narrow(text: str) -> str:
    """`text` with full-width figures, letters and marks as the narrow ones, “、” as a comma."""
    return text.translate(_NARROW)


class Typed(Generic[T]):
    """What each of marked words means, by whatever language it is typed in.

    `folded` is the spelling in which words are compared.
    """

    def __init__(
        self,
        table: Iterable[tuple[StrOrPromise, T]],
        folded: Callable[[str], str] = str.casefold,
    ) -> None:
        # Pairs: a mapping would ask for the words when it is made, before there are catalogues.
        self._table, self._folded = list(table), folded

    @cached_property
    def words(self) -> dict[str, T]:
        """Every word with its meaning."""
        found: dict[str, T] = {}
        for said in in_each_language(lambda: [str(message) for message, _meaning in self._table]):
            for words, (_message, meaning) in zip(said, self._table, strict=True):
                for word in words.split("|"):
                    found.setdefault(self._folded(word), meaning)
        return found

    def get(self, text: str) -> T | None:
        """What `text` means; None for what is no such word."""
        return self.words.get(self._folded(" ".join(text.split())))

    def __contains__(self, text: str) -> bool:
        return self._folded(" ".join(text.split())) in self.words

    @cached_property
    def pattern(self) -> str:
        """A group for a regular expression that finds any of the words, the longest first."""
        longest = sorted(self.words, key=len, reverse=True)
        return f"(?:{'|'.join(re.escape(word) for word in longest)})"

    @cached_property
    def apart(self) -> str:
        """The same for words that stand by themselves, where their language writes spaces."""
        longest = sorted(self.words, key=len, reverse=True)
        words = (
            re.escape(word) if ord(word[0]) >= _UNSPACED else rf"(?<!\w){re.escape(word)}(?!\w)"
            for word in longest
        )
        return f"(?:{'|'.join(words)})"

    @cached_property
    def unspaced(self) -> str:
        """The words of languages that write none of them apart."""
        longest = sorted(self.words, key=len, reverse=True)
        words = [re.escape(word) for word in longest if ord(word[-1]) >= _UNSPACED]
        return f"(?:{'|'.join(words) or '(?!)'})"

    @property
    def offered(self) -> list[str]:
        """What can be written, one word for each meaning, for the reader."""
        return [str(message).partition("|")[0] for message, _meaning in self._table]

    def bare(self, text: str) -> str:
        """`text` without any of the words at its ends, folded."""
        said = self._folded(" ".join(text.split()))
        return re.sub(rf"^(?:{self.apart}\s*)+|(?:\s*{self.apart})+$", "", said).strip()

    def beside(self, text: str) -> str | None:
        """What is left of `text` without the word that it begins or ends with, folded; None where
        there is none. Where a language writes no spaces, none is needed."""
        said = self._folded(" ".join(text.split()))
        for word in sorted(self.words, key=len, reverse=True):
            if said.startswith(word):
                return said[len(word) :].strip()
            if said.endswith(word):
                return said[: -len(word)].strip()
        return None


def typed_as(*messages: StrOrPromise) -> Typed[bool]:
    """Words that all mean the same."""
    return Typed((message, True) for message in messages)


UP_TO = typed_as(_UP_TO)
ON_OR_OFF: Typed[bool] = Typed(
    [
        (gettext_lazy("on|yes|needed"), True),
        (gettext_lazy("off|no|none|not needed"), False),
    ]
)


def between_figures() -> str:
    """A pattern for what stands between the first and the last of a range: “1–5”, “1 to 5”."""
    return rf"\s*(?:{_DASHES}|{UP_TO.pattern})\s*"
