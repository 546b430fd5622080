"""Sentences that are stored in English, and told in the language of whoever reads them.

A history keeps what it says as one text; digests, logs and archives hold it. The module that makes
such sentences lists their messages once, as `Sentences`: they are formatted from there, and found
again from there.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import datetime
from enum import StrEnum

from django.utils.translation import gettext as _

from core.languages import dates
from core.languages.choice import as_stored
from core.languages.words import retold

Retell = Callable[[str], str]


class Sentences(StrEnum):
    """The messages of one history, marked by `gettext_noop`. Figures have names alone, no format:
    what was put in for them cannot be known as a number again."""

    def said(self, **figures: object) -> str:
        """In the language that is active; within `as_stored()` what is stored."""
        return _(self.value).format(**figures)

    def in_english(self, **figures: object) -> str:
        """What is stored, where nothing in it depends on the language."""
        return self.value.format(**figures)

    @classmethod
    def retold(cls, words: str, **figures: Retell) -> str:
        """A stored sentence in the language of the reader; as it is, if it is none of these.

        `figures` say by name how what stands for a figure is told in turn.
        """
        return retold(words, [each.value for each in cls], **figures)


def each_retold(words: str, tell: Retell, between: str = ", ") -> str:
    """Several sentences or phrases in one text, told one by one."""
    return _(between).join(map(tell, words.split(between)))


def label_retold(words: str, labels: Iterable[object]) -> str:
    """One of `labels`, as it was stored in English, in the language of the reader."""
    labels = list(labels)
    with as_stored():
        stored = list(map(str, labels))
    return str(labels[stored.index(words)]) if words in stored else words


def moment_retold(words: str) -> str:
    """“03 Dec 2026, 14:05”, as histories keep it."""
    try:
        return dates.moment(datetime.strptime(words, "%d %b %Y, %H:%M"))  # noqa: DTZ007 - its day
    except ValueError:
        return words


def day_retold(words: str) -> str:
    """“3 Dec 2026”, as histories keep it."""
    try:
        return dates.day(datetime.strptime(words, "%d %b %Y"))  # noqa: DTZ007 - a day alone
    except ValueError:
        return words


def show_retold(words: str) -> str:
    """“3 Dec 2026 · Winter Garden”, as histories keep a show."""
    day, dot, room = words.partition(" · ")
    return f"{day_retold(day)}{dot}{room}" if dot else words
